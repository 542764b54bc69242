//! Reading: every diagnostic code with its exact place, the same survey in many dialects, rows left out, and no panics.

mod dialects;
mod files;
mod hazards;
mod left_out;
mod limits;
mod near_names;
mod no_panic;
mod numbers;
mod places;
mod rules;
mod settings;
#[cfg(unix)]
mod special_files;
mod spelling;
mod stock_list;
mod survey;

use std::collections::BTreeMap;

use rehouse::diagnostics::Severity;
use rehouse::intake::{self, Reading};
use rehouse::project::Project;
use rehouse::units::Length;
use toml::Value;

const SURVEY: &str = "catalogNumber,length_mm,width_mm,height_mm,fluid\nA-1,100,20,30,ethanol-70\n";
const STOCK: &str = "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,unit_price\n\
                     J-1,cylinder,80,150,soda-lime,pp-cap,2.50\n";

/// A project in memory: a survey, a stock list and small tables of rules, each replaceable.
struct ReadingCase {
    files: BTreeMap<String, Vec<u8>>,
    flags: Vec<(String, Value)>,
    skip_bad_rows: bool,
}

impl ReadingCase {
    fn new() -> Self {
        let case = Self { files: BTreeMap::new(), flags: Vec::new(), skip_bad_rows: false };
        case.with("specimens.csv", SURVEY)
            .with("vessels.csv", STOCK)
            .with(
                "rules/fluids.csv",
                "fluid,name,aliases,family,strength_pct,density_g_ml,growth_20_35_pct,flash_c,price_per_litre,hazard\n\
                 ethanol-70,Ethanol 70 %,70% alcohol|alcohol 70%|EtOH 70,alcohol,70,0.8855,1.46,17,3.20,flammable\n\
                 ethanol-96,Ethanol 96 %,,alcohol,96,0.8074,1.6,17,4.10,flammable\n\
                 formalin-10,Formalin 10 %,formaldehyde 4%,formaldehyde,4,1.01,0.5,,1.5,toxic\n\
                 unknown,Not identified,,unknown,,,,,,\n",
            )
            .with(
                "rules/materials.csv",
                "material,name,clear,life_years\nsoda-lime,Soda-lime glass,yes,\nacrylic,Acrylic,yes,10\n\
                 silicone-bonded-glass,Glass,yes,\n",
            )
            .with(
                "rules/closures.csv",
                "closure,name,plate_sealed,life_years\npp-cap,Cap,no,15\nplate-silicone,Plate,yes,5\n",
            )
            .with(
                "rules/compatibility.csv",
                "fluid,part,verdict,years\nalcohol,soda-lime,permanent,\nalcohol,acrylic,unsuitable,\n\
                 ethanol-96,acrylic,limited,1\nalcohol,pp-cap,limited,15\n",
            )
            .with("rules/neck-finishes.csv", "finish,bore_mm,thread_mm,height_mm\n70-400,61.4,69.7,14.1\n")
            .with(
                "rules/transfers.csv",
                "from,to,baths,days_per_bath\nformaldehyde,ethanol-70,ethanol-70|ethanol-70,7\n",
            )
    }

    fn with(mut self, name: &str, text: impl Into<Vec<u8>>) -> Self {
        self.files.insert(name.to_owned(), text.into());
        self
    }

    fn survey(text: impl Into<Vec<u8>>) -> Self {
        Self::new().with("specimens.csv", text)
    }

    fn stock(text: impl Into<Vec<u8>>) -> Self {
        Self::new().with("vessels.csv", text)
    }

    fn settings(text: &str) -> Self {
        Self::new().with("settings.toml", text)
    }

    fn flag(mut self, key: &str, value: impl Into<Value>) -> Self {
        self.flags.push((key.to_owned(), value.into()));
        self
    }

    fn skipping(mut self) -> Self {
        self.skip_bad_rows = true;
        self
    }

    fn read(&self) -> Reading {
        intake::read_texts(&self.files, &self.flags, self.skip_bad_rows)
    }

    /// Every diagnostic in the form `specimens.csv:2:5 unknown-unit`, with `?` after warnings.
    fn found(&self) -> Vec<String> {
        let reading = self.read();
        let errors = reading.diagnostics.iter().any(|diagnostic| diagnostic.severity == Severity::Error);
        assert!(self.skip_bad_rows || errors == reading.project.is_none(), "errors stop the plan, nothing else does");
        let mark = |severity| if severity == Severity::Error { "" } else { "?" };
        reading.diagnostics.iter().map(|d| format!("{} {}{}", d.place.position(), d.code, mark(d.severity))).collect()
    }

    /// The project of a case without errors.
    fn project(&self) -> Project {
        let reading = self.read();
        let said: Vec<String> = reading.diagnostics.iter().map(ToString::to_string).collect();
        reading.project.unwrap_or_else(|| panic!("{}", said.join("\n")))
    }

    /// The message and the help of the only diagnostic.
    fn says(&self) -> String {
        let reading = self.read();
        assert_eq!(reading.diagnostics.len(), 1, "{:#?}", reading.diagnostics);
        reading.diagnostics[0].to_string()
    }
}

/// A survey of one row with further columns after the required ones.
fn one_row(headers: &str, cells: &str) -> String {
    format!("catalogNumber,length_mm,width_mm,height_mm,fluid,{headers}\nA-1,100,20,30,ethanol-70,{cells}\n")
}

/// A stock list of one cylinder, bore 80 and inner height 150, with further columns in front.
fn one_vessel(headers: &str, cells: &str) -> String {
    format!(
        "{headers},vessel,form,inner_diameter_mm,inner_height_mm,material,closure\n\
         {cells},J-1,cylinder,80,150,soda-lime,pp-cap\n"
    )
}

fn mm(mm: f64) -> Length {
    Length::new(mm).unwrap()
}

#[track_caller]
fn found(case: ReadingCase, expected: &[&str]) {
    assert_eq!(case.found(), expected);
}
