//! Complete screens: exit code, standard output and standard error of every command on one small project.
//!
//! The snapshots stand beside the commands, so that a change of wording is read where it is made.
//! `cargo insta review` shows the differences and accepts them.

mod mixing;
mod mixing_recipes;
mod mixing_refused;
mod narrow;
mod planning;
mod reading;
mod saved;
mod tank;
mod tank_words;
mod turning;
mod usage;

use std::path::{Path, PathBuf};

use tempfile::TempDir;

const SURVEY: &str = "\
catalogNumber,scientificName,individualCount,length_mm,width_mm,height_mm,outline,posture,tissue_ml,fluid,priority,display,hazard,hold,disposition,current_vessel
T-01,Rana temporaria,1,70,45,35,rounded,either,28,ethanol-70,1,,,,,
T-02,Anguilla anguilla,1,420,14,14,rounded,coil,60,ethanol-70,2,,,,,
T-03,Sepia officinalis,1,190,110,80,rounded,as-set,520,ethanol-70,2,,,,,
T-04,Ovis aries heart on plate,1,90,60,120,box,as-set,240,formalin-10,2,flat,,,,
T-05,Esox lucius head,1,120,90,110,rounded,as-set,410,formalin-10,3,,,,,
T-06,Triturus cristatus,4,60,14,12,rounded,upright,,ethanol-70,4,,,,,
T-07,Vipera berus,1,,,,,,,unknown,3,,,,,
T-08,Erinaceus europaeus embryo,1,40,25,25,rounded,either,,ethanol-70,3,,,on show until May,,
T-09,Lumbricus terrestris,1,90,8,8,rounded,either,,ethanol-70,3,,picric,,,
T-10,Salmo trutta,1,150,30,45,rounded,either,,ethanol-70,3,,,,on loan,
";

const STOCK: &str = "\
vessel,description,form,inner_diameter_mm,inner_length_mm,inner_width_mm,inner_height_mm,mouth_diameter_mm,material,closure,on_hand,reserve,supplier,order_code,unit_price,pack_size
vial-30,screw vial,cylinder,25,,,75,20,borosilicate,pp-cap-ptfe,12,4,Nether Lab Supply,N-30,0.60,12
jar-250,screw jar,cylinder,66,,,90,58,soda-lime,pp-cap-foamed-pe,1,,Foss Glass,F-250,1.90,6
jar-500,screw jar,cylinder,84,,,115,76,soda-lime,pp-cap-foamed-pe,0,,Foss Glass,F-500,2.40,6
jar-1000,stoppered jar,cylinder,100,,,160,90,borosilicate,ground-glass-stopper,0,,Foss Glass,F-1000,11.50,1
show-12,show jar,rectangular,,120,85,180,,soda-lime,plate-silicone,0,,Nether Lab Supply,N-S12,19.00,1
pot-2000,acrylic pot,cylinder,140,,,190,,acrylic,gasketed-lid,2,,,,,
";

const SUPPLIERS: &str = "\
supplier,delivery_charge,free_delivery_over,minimum_order
Foss Glass,9.50,80,
Nether Lab Supply,4.00,,15
";

const SETTINGS: &str = "\
currency = \"crowns\"
budget = 51

[fluid_price]
ethanol-70 = 4.20
formalin-10 = 1.10
";

/// A temporary folder to work in, with the project in `collection`.
struct Bench {
    folder: TempDir,
}

impl Bench {
    fn new() -> Self {
        let bench = Self { folder: TempDir::new().expect("a temporary folder") };
        bench
            .file("collection/specimens.csv", SURVEY)
            .file("collection/vessels.csv", STOCK)
            .file("collection/suppliers.csv", SUPPLIERS)
            .file("collection/settings.toml", SETTINGS)
    }

    /// Writes a file.
    fn file(self, name: &str, text: &str) -> Self {
        let path = self.path(name);
        std::fs::create_dir_all(path.parent().expect("a file stands in a folder")).expect("a folder");
        std::fs::write(path, text).expect("a file");
        self
    }

    fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// The typed command, the exit code, and both outputs, run in this folder.
    fn screen(&self, command: &str) -> String {
        self.screen_of(command, None)
    }

    /// Like [`Bench::screen`], on a screen of this many characters.
    fn screen_of(&self, command: &str, columns: Option<&str>) -> String {
        let mut rehouse = assert_cmd::cargo::cargo_bin_cmd!("rehouse");
        match columns {
            Some(columns) => rehouse.env("COLUMNS", columns),
            None => rehouse.env_remove("COLUMNS"),
        };
        // `%` stands for a space within a word.
        let here = text(self.folder.path());
        let words = command.split(' ').map(|word| word.replace("[DIR]", &here).replace('%', " "));
        let output = rehouse.args(words).current_dir(self.folder.path()).output().expect("the binary can be run");
        let [shown, told] = [&output.stdout, &output.stderr].map(|bytes| {
            let text = String::from_utf8(bytes.clone()).expect("outputs are UTF-8");
            without_digests(&text.replace(&here, "[DIR]").replace(env!("CARGO_PKG_VERSION"), "[VERSION]"))
        });
        let told = if told.is_empty() { String::new() } else { format!("--- standard error\n{told}") };
        format!("$ rehouse {command}\n{shown}{told}--- exit code {}\n", output.status.code().unwrap_or(-1))
    }
}

/// Replaces the digest of a plan, which changes with every byte of it.
fn without_digests(text: &str) -> String {
    let is_digest = |line: &str| line.len() == 64 && line.bytes().all(|byte| byte.is_ascii_hexdigit());
    text.split_inclusive('\n').map(|line| if is_digest(line.trim_end()) { "[SHA-256]\n" } else { line }).collect()
}

fn text(path: &Path) -> String {
    path.to_string_lossy().into_owned()
}

/// The first lines of a screen, the number of lines cut, and the last line.
fn head(screen: &str, lines: usize) -> String {
    let all: Vec<&str> = screen.lines().collect();
    let cut = all.len().saturating_sub(lines + 1);
    let last = all.last().copied().unwrap_or_default();
    format!("{}\n[{cut} lines]\n{last}\n", all[..lines.min(all.len())].join("\n"))
}

/// The number of lines cut, and the last lines of a screen.
fn tail(screen: &str, lines: usize) -> String {
    let all: Vec<&str> = screen.lines().collect();
    let cut = all.len().saturating_sub(lines);
    format!("[{cut} lines]\n{}\n", all[cut..].join("\n"))
}
