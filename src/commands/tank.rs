//! `rehouse tank`: designs one custom tank.

use std::path::{Path, PathBuf};

use super::{Ending, Failure, print, reading, tell};
use crate::cli::{Format, TankArguments};
use crate::intake::cells::CellFault;
use crate::intake::{self, typed};
use crate::options::tank::loose;
use crate::output;
use crate::project::Project;
use crate::report;
use crate::report::tank::{Page, TankAnswer};
use crate::rules::{FluidId, Verdict};
use crate::settings::Settings;
use crate::tank::clear;
use crate::tank::density;
use crate::tank::design::{self, Demand};
use crate::tank::limits::Beyond;
use crate::tank::ways_out::ways_out;
use crate::units::Length;

/// Designs a tank and prints it. Ends with [`Ending::Findings`] if there is no design.
pub fn run(arguments: &TankArguments) -> Result<Ending, Failure> {
    let overrides = reading::set(&arguments.set)?;
    let read = intake::read_rules(arguments.settings.as_deref(), arguments.rules.as_deref(), &overrides);
    reading::no_faults_of_usage(&read.diagnostics)?;
    tell(report::diagnostics::text(&read.diagnostics));
    let Some(project) = read.project else {
        tell("Nothing was designed.\n");
        return Ok(Ending::Findings);
    };
    let settings = &project.settings;
    let fluid = value("--fluid", &arguments.fluid, |typed| typed::fluid_or_hazard(&project.rules, typed))?;
    let (clear, opening) = sizes(settings, arguments)?;
    let answer = answer(&project, fluid, clear, opening, arguments.accept_unproven);
    let ways_out = ways_out(&project.rules, fluid);
    let page = Page { settings, fluid: project.rules.fluid(fluid), clear, ways_out: &ways_out, answer: &answer };
    print(&match arguments.format {
        Format::Table => report::wrapping::to_screen(&report::tank::text(&page)),
        Format::Json => report::tank::json(&page),
    })?;
    if let Some(file) = &arguments.html {
        written(arguments, &page, file)?;
    }
    Ok(if matches!(answer, TankAnswer::Designed { .. }) { Ending::Done } else { Ending::Findings })
}

/// Writes the sheet for the glazier if there is a design.
fn written(arguments: &TankArguments, page: &Page, file: &Path) -> Result<(), Failure> {
    let Some(sheet) = report::glazier::sheet(page) else {
        tell(format!("Nothing was written to {}: there is no design.\n", file.display()));
        return Ok(());
    };
    let inputs: Vec<PathBuf> = [&arguments.settings, &arguments.rules].into_iter().flatten().cloned().collect();
    output::write_file(file, &sheet, &inputs).map_err(Failure::from)?;
    tell(format!("The sheet for the glazier is {}: check it, sign it, then send it.\n", file.display()));
    Ok(())
}

fn answer(
    project: &Project,
    fluid: FluidId,
    clear: [Length; 3],
    opening: Option<(Length, Length)>,
    accept_unproven: bool,
) -> TankAnswer {
    let (settings, rules) = (&project.settings, &project.rules);
    let accepted = accept_unproven || settings.accept_unproven;
    // The reader of the settings has checked that both are in the tables.
    let material = rules.material_named(&settings.tank_material).map(|id| rules.compatibility.material(fluid, id));
    let lid = if loose(project, fluid) {
        Some(Verdict::Permanent)
    } else {
        rules.closure_named(&settings.tank_lid).map(|id| rules.compatibility.closure(fluid, id))
    };
    let verdicts = [(settings.tank_material.as_str(), material), (settings.tank_lid.as_str(), lid)];
    for (part, verdict) in verdicts {
        match verdict.unwrap_or(Verdict::Unproven) {
            Verdict::Unsuitable => return TankAnswer::Unsuitable(part.to_owned()),
            Verdict::Unproven if !accepted => return TankAnswer::Unproven(part.to_owned()),
            _ => {}
        }
    }
    let unproven = verdicts.into_iter().any(|(_, verdict)| verdict == Some(Verdict::Unproven));
    let Some((density, coldest)) = density::densities(settings, rules.fluid(fluid)) else {
        return TankAnswer::Beyond(Beyond::density_unknown());
    };
    let [length, width, height] = clear;
    match design::design(settings, &Demand { length, width, height, density, coldest, opening }) {
        Ok(design) => {
            let limits = verdicts
                .map(|(_, verdict)| if let Some(Verdict::Limited(years)) = verdict { Some(years) } else { None });
            let lid_life = rules.closure_named(&settings.tank_lid).and_then(|id| rules.closure(id).life_years);
            let life_years = limits.into_iter().chain([lid_life]).flatten().min_by(f64::total_cmp);
            TankAnswer::Designed { design: Box::new(design), unproven, life_years }
        }
        Err(beyond) => TankAnswer::Beyond(beyond),
    }
}

/// Clear length, width and height, and the larger and smaller side of what must pass the rim, if known.
type Asked = ([Length; 3], Option<(Length, Length)>);

/// The sizes to design for. With `--specimen` they are computed from the specimen, which must pass the rim.
fn sizes(settings: &Settings, arguments: &TankArguments) -> Result<Asked, Failure> {
    if let Some(body) = &arguments.specimen {
        let [length, width, height] = value("--specimen", body, typed::three_lengths)?;
        let opening = (length.max(width), length.min(width));
        return Ok((clear::size(settings, [length, width, height], None), Some(opening)));
    }
    let side = |flag: &str, typed: &Option<String>| value(flag, typed.as_deref().unwrap_or_default(), typed::length);
    let length = side("--length", &arguments.length)?;
    let width = side("--width", &arguments.width)?;
    Ok(([length.max(width), length.min(width), side("--height", &arguments.height)?], None))
}

fn value<T>(flag: &str, typed: &str, read: impl Fn(&str) -> Result<T, CellFault>) -> Result<T, Failure> {
    read(typed).map_err(|fault| Failure::cured(format!("{flag} \"{typed}\": {}", fault.says), fault.cure))
}
