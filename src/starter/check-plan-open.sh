#!/bin/sh
# Checks the forms in this folder, plans, and opens the report.
cd "$(dirname "$0")" || exit 2
rehouse=rehouse
[ -x ../rehouse ] && rehouse=../rehouse
[ -x ./rehouse ] && rehouse=./rehouse

finish() {
    echo
    echo "$1"
    # A window that was opened for this stays until it has been read.
    if [ -t 0 ]; then
        printf 'Press Enter to close. '
        read -r _
    fi
    exit "$2"
}

"$rehouse" check .
case $? in
    0) ;;
    1) finish 'Correct what is listed above, save the forms, and double-click again.' 1 ;;
    *) finish 'Nothing was planned. If the program was not found, put rehouse beside this file.' 2 ;;
esac
"$rehouse" plan . --out plan || finish 'The plan was not made: see above.' 2

paper=plan/report.html
[ -e "$paper" ] || paper=plan/plan.xlsx
if command -v open > /dev/null 2>&1; then
    open "$paper"
elif command -v xdg-open > /dev/null 2>&1; then
    xdg-open "$paper" > /dev/null 2>&1
else
    echo "Now open $paper."
fi
finish 'Done.' 0
