@echo off
rem Checks the forms in this folder, plans, and opens the report.
setlocal
cd /d "%~dp0"
set "REHOUSE=rehouse"
if exist "..\rehouse.exe" set "REHOUSE=..\rehouse.exe"
if exist "rehouse.exe" set "REHOUSE=.\rehouse.exe"

"%REHOUSE%" check .
if errorlevel 2 goto failed
if errorlevel 1 goto findings
"%REHOUSE%" plan . --out plan
if errorlevel 1 goto failed
if exist "plan\report.html" (start "" "plan\report.html") else (start "" "plan\plan.xlsx")
goto end

:findings
echo.
echo Correct what is listed above, save the forms, and double-click again.
goto end

:failed
echo.
echo Nothing was planned. If the program was not found, put rehouse.exe beside this file.

:end
echo.
pause
