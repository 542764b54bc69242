//! Writes a project folder of any size for trials: an invented collection, the same bytes for the same arguments.
//!
//! `cargo run --release --example synthetic_collection -- DIR SPECIMENS VESSELS [--seed N] [--packs all] [--sizes fine] [--budget AMOUNT]`
//!
//! Names, sizes and prices are invented. Only + − × ÷ √ are used, because every machine rounds them alike.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use clap::{Parser, ValueEnum};

/// Writes specimens.csv, vessels.csv, suppliers.csv and settings.toml of an invented collection.
#[derive(Debug, Parser)]
struct Arguments {
    /// Folder to write to; it may not hold a project yet.
    dir: PathBuf,
    /// Rows of the survey.
    #[arg(value_parser = clap::value_parser!(u32).range(1..=1_000_000))]
    specimens: u32,
    /// Rows of the stock list.
    #[arg(value_parser = clap::value_parser!(u32).range(1..=100_000))]
    vessels: u32,
    /// Seed of the random numbers: another seed gives another collection of the same size.
    #[arg(long, default_value_t = 1)]
    seed: u64,
    /// Vessels that are sold in packs.
    #[arg(long, value_enum, default_value_t = Packs::Small)]
    packs: Packs,
    /// How closely specimens are measured.
    #[arg(long, value_enum, default_value_t = Sizes::Whole)]
    sizes: Sizes,
    /// Budget to write to settings.toml.
    #[arg(long)]
    budget: Option<String>,
}

/// Vessels that are sold in packs of several pieces.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Packs {
    /// Some of those up to a litre.
    Small,
    /// All vessels.
    All,
}

/// How closely specimens are measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Sizes {
    /// To the millimetre, and tissue to the tenth of a millilitre: many rows are equal.
    Whole,
    /// To the tenth of a millimetre, with a mass for each row: almost no two rows are equal.
    Fine,
}

/// Arguments of a collection.
#[derive(Clone, Debug)]
pub struct Recipe {
    /// Rows of the survey.
    pub specimens: u32,
    /// Rows of the stock list.
    pub vessels: u32,
    /// Seed of the random numbers.
    pub seed: u64,
    /// Vessels that are sold in packs.
    pub packs: Packs,
    /// How closely specimens are measured.
    pub sizes: Sizes,
    /// Budget, as written in settings.toml.
    pub budget: Option<String>,
}

fn main() -> ExitCode {
    let Arguments { dir, specimens, vessels, seed, packs, sizes, budget } = Arguments::parse();
    match write(&dir, &Recipe { specimens, vessels, seed, packs, sizes, budget }) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("{}: {error}", dir.display());
            ExitCode::from(2)
        }
    }
}

/// Writes the project folder of a recipe; fails if it cannot be written or one of the files exists already.
pub fn write(dir: &Path, recipe: &Recipe) -> io::Result<()> {
    let mut random = Random(recipe.seed);
    let files = [
        ("vessels.csv", vessels(recipe, &mut random)),
        ("specimens.csv", specimens(recipe, &mut random)),
        ("suppliers.csv", suppliers()),
        ("settings.toml", settings(recipe)),
    ];
    if let Some((name, _)) = files.iter().find(|(name, _)| dir.join(name).exists()) {
        return Err(io::Error::other(format!("{name} is there already; name a new folder")));
    }
    fs::create_dir_all(dir)?;
    files.iter().try_for_each(|(name, text)| fs::write(dir.join(name), text))
}

/// Supplier, delivery charge, free delivery over, minimum order, lead days.
const SUPPLIERS: [(&str, &str, &str, &str, u32); 6] = [
    ("Ashmere Jars", "12.50", "", "", 5),
    ("Hobrook Kitchenware", "6.00", "", "", 3),
    ("Ibbersay Laboratory Supply", "18.00", "", "150", 10),
    ("Northquay Packaging", "22.00", "", "", 7),
    ("Tarnfold Glassworks", "30.00", "400", "", 28),
    ("Vellin Ware", "9.50", "", "", 6),
];

fn suppliers() -> String {
    let mut text = String::from("supplier,delivery_charge,free_delivery_over,minimum_order,lead_days\n");
    for (supplier, charge, free_over, minimum, days) in SUPPLIERS {
        text += &format!("{supplier},{charge},{free_over},{minimum},{days}\n");
    }
    text
}

fn settings(recipe: &Recipe) -> String {
    let budget = recipe.budget.iter().map(|amount| format!("budget = \"{amount}\"\n")).collect::<String>();
    format!(
        "# An invented collection: {} specimens, {} vessels, seed {}.\n\
         currency = \"crowns\"\n{budget}\n[fluid_price]\nethanol-70 = 3.80\nformalin-10 = 1.10\n",
        recipe.specimens, recipe.vessels, recipe.seed
    )
}

/// Cylinders from a small vial to a large jar, and one rectangular vessel in six; two in five have pieces on hand.
fn vessels(recipe: &Recipe, random: &mut Random) -> String {
    let mut text = String::from(
        "vessel,description,form,inner_diameter_mm,inner_length_mm,inner_width_mm,inner_height_mm,mouth_diameter_mm,\
         material,closure,on_hand,supplier,order_code,unit_price,pack_price,pack_size\n",
    );
    // At least four digits and enough for the last vessel, so that all names have the same length.
    let digits = recipe.vessels.to_string().len().max(4);
    let mean_need = u64::from(recipe.specimens.div_ceil(recipe.vessels));
    for number in 0..recipe.vessels {
        // 0 for the smallest vessel, 1 for the largest; small sizes are closer together.
        let size = f64::from(number) / f64::from(recipe.vessels.max(2) - 1);
        let bore = (24.0 + 176.0 * size * (0.4 + 0.6 * size) + random.between(-2.0, 2.0)).round();
        let height = (bore * random.between(1.1, 2.4)).round();
        let rectangular = number % 6 == 4;
        let width = (bore * 0.8).round();
        let section = if rectangular { bore * width } else { bore * bore * std::f64::consts::FRAC_PI_4 };
        let litres = section * height / 1e6;
        let (sizes, mouth) = match rectangular {
            true => (format!("rectangular,,{bore},{width}"), String::new()),
            false if random.below(3) == 0 => (format!("cylinder,{bore},,"), String::new()),
            false => (format!("cylinder,{bore},,"), (bore * random.between(0.75, 0.97)).round().to_string()),
        };
        let (material, closure) = random.one_of(match (rectangular, litres > 1.0) {
            (true, _) => &[("borosilicate", "ground-glass-stopper"), ("soda-lime", "clip-silicone")],
            (false, true) => &[("soda-lime", "clip-silicone"), ("borosilicate", "ground-glass-stopper")],
            (false, false) => &[
                ("soda-lime", "pp-cap-foamed-pe"),
                ("borosilicate", "pp-cap-ptfe"),
                ("polypropylene", "pp-cap-pe-insert"),
            ],
        });
        let on_hand = if number * 2 % 5 < 2 { 1 + random.below(2 * mean_need) } else { 0 };
        let supplier = random.below(SUPPLIERS.len() as u64) as usize;
        let pack_size = match recipe.packs {
            Packs::All => random.one_of(&[6, 12, 24]),
            Packs::Small if litres <= 1.0 => random.one_of(&[1, 1, 6, 12, 24]),
            Packs::Small => 1,
        };
        let piece = (0.5 + 1.1 * litres + 0.9 * litres.sqrt()) * random.between(0.8, 1.3);
        let price = match pack_size {
            1 => format!("{piece:.2},"),
            // In a pack, each piece costs a tenth less.
            _ => format!(",{:.2}", 0.9 * piece * f64::from(pack_size)),
        };
        text += &format!(
            "V{:0digits$},{:.0} ml,{sizes},{height},{mouth},{material},{closure},{on_hand},{},{}-{number},{price},{pack_size}\n",
            number + 1,
            litres * 1000.0,
            SUPPLIERS[supplier].0,
            &SUPPLIERS[supplier].0[..2].to_uppercase(),
        );
    }
    text
}

/// Bodies from 25 to 230 mm, small ones more often; seven in ten in alcohol, the rest in formalin.
fn specimens(recipe: &Recipe, random: &mut Random) -> String {
    let fine = recipe.sizes == Sizes::Fine;
    let amount = if fine { "mass_g" } else { "tissue_ml" };
    let mut text = format!(
        "catalogNumber,scientificName,individualCount,length_mm,width_mm,height_mm,outline,posture,{amount},fluid,\
         priority,location\n",
    );
    let rounded = |size: f64| if fine { (10.0 * size).round() / 10.0 } else { size.round() };
    for number in 0..recipe.specimens {
        let along = random.between(0.0, 1.0);
        let length = rounded(25.0 + 205.0 * along * along);
        let width = rounded(length * random.between(0.2, 0.5));
        let height = rounded(width * random.between(0.6, 1.0));
        let count = if length < 60.0 && random.below(8) == 0 { 2 + random.below(3) } else { 1 };
        let envelopes = length * width * height / 1000.0 * count as f64;
        let tissue = (envelopes * random.between(0.22, 0.5)).max(0.1);
        let amount = match fine {
            // Fixed tissue is slightly denser than water; the random density makes the masses differ.
            true => format!("{:.3}", tissue * random.between(1.02, 1.08)),
            false => format!("{tissue:.1}"),
        };
        let genus = random.one_of(&["Arvenia", "Brethus", "Colmara", "Dunella", "Estrava", "Fennica"]);
        let species = random.one_of(&["alta", "brevis", "littoralis", "minor", "rivalis", "tenuis"]);
        let outline = if random.below(4) == 0 { "box" } else { "rounded" };
        let posture = random.one_of(&["either", "either", "as-set", "any"]);
        let fluid = if random.below(10) < 7 { "ethanol-70" } else { "formalin-10" };
        let priority = random.one_of(&[1, 2, 2, 3, 3]);
        text += &format!(
            "S{:06},{genus} {species},{count},{length},{width},{height},{outline},{posture},{amount},{fluid},{priority},Bay {}\n",
            number + 1,
            1 + random.below(20),
        );
    }
    text
}

/// SplitMix64 (Steele, Lea and Flood, 2014, Fast splittable pseudorandom number generators, figure 17).
pub struct Random(pub u64);

impl Random {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    /// A number from 0 to `most` − 1; the bias is below `most` / 2⁶⁴.
    pub fn below(&mut self, most: u64) -> u64 {
        ((u128::from(self.next()) * u128::from(most)) >> 64) as u64
    }

    /// A number from `low` to `high`.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * (self.next() >> 11) as f64 / (1u64 << 53) as f64
    }

    /// One of several values.
    pub fn one_of<T: Copy>(&mut self, all: &[T]) -> T {
        all[self.below(all.len() as u64) as usize]
    }
}
