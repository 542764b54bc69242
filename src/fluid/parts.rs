//! Recipes of fluids with several parts. Many recipes may go by one name; each here names the source it follows.
//!
//! Volumes are taken to add, as they nearly do. Where a recipe is made up to a volume, it names the liquid that fills it up.

use crate::units::{Mass, Volume};

/// A recipe.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PartsRecipe {
    /// The fluid it makes, as in the table of fluids.
    pub id: &'static str,
    /// What goes in, in the order of the recipe.
    parts: &'static [Ingredient],
    /// The liquid that it is made up to the volume with, if any.
    pub made_up_with: Option<&'static str>,
    /// Volume that these parts make, ml.
    makes_ml: f64,
    /// Steps of making it, up to the label.
    pub order: &'static [&'static str],
    /// How to read the figures, and their limits.
    pub notes: &'static [&'static str],
    /// Hazards of the parts.
    pub hazards: &'static [Beware],
    /// Where the amounts come from.
    pub source: &'static str,
}

/// One of the parts.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Ingredient {
    /// Its name for programs.
    name: &'static str,
    /// What it is.
    what: &'static str,
    amount: AmountOfPart,
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum AmountOfPart {
    Ml(f64),
    G(f64),
}

/// What can hurt whoever makes it up.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Beware {
    /// Formaldehyde.
    Formaldehyde,
    /// Flammable alcohol.
    Alcohol,
    /// Glycerol.
    Glycerol,
    /// Propylene glycol.
    PropyleneGlycol,
    /// Glacial acetic acid.
    Acid,
    /// Chloroform.
    Chloroform,
    /// Glutaraldehyde.
    Glutaraldehyde,
    /// Sodium hydrosulphite.
    Hydrosulphite,
    /// Ammonium salts.
    Ammonium,
    /// Strong sulphuric acid.
    SulphuricAcid,
}

/// A part, in the amount for a volume that is made.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PartAmount {
    /// Its name for programs.
    pub name: &'static str,
    /// What it is.
    pub what: &'static str,
    /// Its volume, if it is measured out.
    pub volume: Option<Volume>,
    /// Its mass, if it is weighed.
    pub mass: Option<Mass>,
}

impl PartsRecipe {
    /// The recipe of a fluid, by its id.
    pub fn of(id: &str) -> Option<&'static PartsRecipe> {
        RECIPES.iter().find(|recipe| recipe.id == id)
    }

    /// The amounts of the parts for a volume that is made.
    pub fn amounts(&self, made: Volume) -> Vec<PartAmount> {
        let times = made.ml() / self.makes_ml;
        let part = |part: &Ingredient| {
            let (volume, mass) = match part.amount {
                AmountOfPart::Ml(ml) => (Some(Volume::at_least_zero(ml * times)), None),
                AmountOfPart::G(g) => (None, Some(Mass::at_least_zero(g * times))),
            };
            PartAmount { name: part.name, what: part.what, volume, mass }
        };
        self.parts.iter().map(part).collect()
    }
}

const fn ml(name: &'static str, what: &'static str, ml: f64) -> Ingredient {
    Ingredient { name, what, amount: AmountOfPart::Ml(ml) }
}

const fn g(name: &'static str, what: &'static str, g: f64) -> Ingredient {
    Ingredient { name, what, amount: AmountOfPart::G(g) }
}

const fn stock(amount: f64) -> Ingredient {
    ml("stock", "stock formaldehyde, 37 % by mass (sold as 37 % or as 40 %)", amount)
}

const SEA_WATER: &str = "filtered sea water";
const WATER: &str = "water, distilled or deionised";

const SEA_WATER_ORDER: &[&str] = &[
    "Under extraction, pour the stock into most of the sea water.",
    "Make up to the volume with sea water and stir. Buffer it where there is shell or bone (common practice, no source).",
];
const SEA_WATER_NOTES: &[&str] =
    &["The per cent is of stock. Where the label says per cent of formaldehyde, 4 % is 10 parts of stock in 100."];
const SEA_WATER_SOURCE: &str = "from memory: plankton manuals, to be checked; by parts of stock";

const fn sea_water(id: &'static str, parts: &'static [Ingredient]) -> PartsRecipe {
    PartsRecipe {
        id,
        parts,
        made_up_with: Some(SEA_WATER),
        makes_ml: 1000.0,
        order: SEA_WATER_ORDER,
        notes: SEA_WATER_NOTES,
        hazards: &[Beware::Formaldehyde],
        source: SEA_WATER_SOURCE,
    }
}

const fn phenoxyethanol(id: &'static str, parts: &'static [Ingredient]) -> PartsRecipe {
    PartsRecipe {
        id,
        parts,
        made_up_with: Some(WATER),
        makes_ml: 1000.0,
        order: &[
            "Stir the phenoxyethanol into a little hot water until no drops are left.",
            "Make up with water and stir.",
        ],
        notes: &["It prevents mould only weakly and does not fix: use it only for specimens that are already fixed."],
        hazards: &[],
        source: "by volume, as its name says; common practice, no source",
    }
}

const fn glutaraldehyde(id: &'static str, parts: &'static [Ingredient]) -> PartsRecipe {
    PartsRecipe {
        id,
        parts,
        made_up_with: Some("phosphate buffer, 0.1 M, pH 7.2 to 7.4, cold"),
        makes_ml: 1000.0,
        order: &[
            "Under extraction, pour the stock into most of the buffer, in the cold.",
            "Make up with buffer and stir.",
        ],
        notes: &["From stock of 25 %; of stock of 50 % take half. Make it fresh: it keeps only a few weeks."],
        hazards: &[Beware::Glutaraldehyde],
        source: "by volume, as its name says; common practice, no source",
    }
}

/// All recipes of several parts.
pub const RECIPES: [PartsRecipe; 18] = [
    PartsRecipe {
        id: "borax-formalin-10",
        parts: &[stock(100.0), g("borax", "borax (sodium tetraborate decahydrate)", 3.0)],
        made_up_with: Some(WATER),
        makes_ml: 1000.0,
        order: &[
            "Dissolve the borax in most of the water.",
            "Under extraction, add the stock.",
            "Make up with water and stir.",
        ],
        notes: &["More borax than this clears and damages tissue. Keep it off polycarbonate."],
        hazards: &[Beware::Formaldehyde],
        source: "Meador, Cuffney and Gurtz, Methods for sampling fish communities, USGS Open-File Report 93-104, 1993, p. 28",
    },
    PartsRecipe {
        id: "formol-saline-10",
        parts: &[stock(100.0), g("salt", "sodium chloride", 9.0)],
        made_up_with: Some(WATER),
        makes_ml: 1000.0,
        order: &[
            "Dissolve the salt in most of the water.",
            "Under extraction, add the stock.",
            "Make up with water and stir.",
        ],
        notes: &["Other books give 8.5 g of salt. It is not buffered and turns acid, which decalcifies bone."],
        hazards: &[Beware::Formaldehyde],
        source: "a summary of fixatives read on the web (scribd 453366182, undated)",
    },
    sea_water("sea-water-formalin-2", &[stock(20.0)]),
    sea_water("sea-water-formalin-4", &[stock(40.0)]),
    sea_water("sea-water-formalin-5", &[stock(50.0)]),
    PartsRecipe {
        id: "faa",
        parts: &[ml("ethanol_50", "ethanol 50 %", 90.0), ml("acetic_acid", "glacial acetic acid", 5.0), stock(5.0)],
        made_up_with: None,
        makes_ml: 100.0,
        order: &["Under extraction, pour the stock and then the acid, slowly, into the alcohol, and stir."],
        notes: &["Many mixtures go by this name: keep to the one the lot is in. The acid decalcifies bone and shell."],
        hazards: &[Beware::Alcohol, Beware::Formaldehyde, Beware::Acid],
        source: "from memory: D. A. Johansen, Plant Microtechnique, 1940, to be checked",
    },
    PartsRecipe {
        id: "steedman",
        parts: &[
            ml("propylene_phenoxetol", "propylene phenoxetol", 0.5),
            ml("propylene_glycol", "propylene glycol", 4.5),
            stock(5.0),
            ml("sea_water", SEA_WATER, 90.0),
        ],
        made_up_with: None,
        makes_ml: 100.0,
        order: &[
            "Stir the phenoxetol into the propylene glycol.",
            "Under extraction, add the stock.",
            "Pour this into the sea water, a little at a time, and stir.",
        ],
        notes: &[
            "Other mixtures go by the same name. It was made for zooplankton and failed on large fish (S. Moore, \
             NHCOLL-L list, 25 April 2012).",
        ],
        hazards: &[Beware::Formaldehyde],
        source: "from memory: H. F. Steedman (ed.), Zooplankton Fixation and Preservation, UNESCO Press, 1976, to be checked",
    },
    PartsRecipe {
        id: "jores",
        parts: &[
            g("sodium_chloride", "sodium chloride", 1.0),
            g("magnesium_sulphate", "magnesium sulphate", 2.0),
            g("sodium_sulphate", "sodium sulphate", 2.0),
            stock(10.0),
            ml("water", WATER, 100.0),
        ],
        made_up_with: None,
        makes_ml: 110.0,
        order: &["Dissolve the salts in the water, warm.", "Let it cool; under extraction, add the stock and stir."],
        notes: &[
            "The recipe gives 5 to 10 parts of formalin; 10 are taken. It does not say which hydrates of the salts are \
             meant: write on the label which one you used.",
            "A mixture of 1913 by the same author holds chloral hydrate.",
        ],
        hazards: &[Beware::Formaldehyde],
        source: "R. Ellis, Histonet list, July 2002, on L. Jores, 1896",
    },
    PartsRecipe {
        id: "pulvertaft",
        parts: &[
            ml("glycerol", "glycerol", 300.0),
            g("sodium_acetate", "sodium acetate", 100.0),
            stock(5.0),
            ml("water", WATER, 1000.0),
            g("sodium_hydrosulphite", "sodium hydrosulphite (dithionite), just before the pot is closed", 5.2),
        ],
        made_up_with: None,
        makes_ml: 1305.0,
        order: &[
            "Dissolve the acetate in the water; stir in the glycerol slowly, so that no air is trapped.",
            "Under extraction, add the stock; let the bubbles rise.",
            "Dissolve the hydrosulphite in it only when the pot is ready, fill, and seal at once.",
        ],
        notes: &["The hydrosulphite keeps the colour only if no air gets in."],
        hazards: &[Beware::Formaldehyde, Beware::Hydrosulphite, Beware::Glycerol],
        source: "Museum Techniques (histology weblog), August 2017; from memory: R. J. V. Pulvertaft, Journal of \
            Clinical Pathology 3 (1950) 1 (4 g of hydrosulphite per litre), to be checked",
    },
    phenoxyethanol("phenoxyethanol-1", &[ml("phenoxyethanol", "2-phenoxyethanol", 10.0)]),
    phenoxyethanol("phenoxyethanol-2", &[ml("phenoxyethanol", "2-phenoxyethanol", 20.0)]),
    PartsRecipe {
        id: "phenoxetol-1",
        parts: &[
            ml("propylene_phenoxetol", "propylene phenoxetol", 10.0),
            ml("propylene_glycol", "propylene glycol", 50.0),
        ],
        made_up_with: Some(WATER),
        makes_ml: 1000.0,
        order: &["Stir the phenoxetol into the propylene glycol.", "Make up with water, a little at a time, and stir."],
        notes: &["An old fluid, for specimens that are already fixed; it failed on large fish."],
        hazards: &[],
        source: "from memory: propylene phenoxetol 1 % with propylene glycol 5 to 10 %, to be checked",
    },
    glutaraldehyde("glutaraldehyde-2", &[ml("stock", "glutaraldehyde stock, 25 %", 80.0)]),
    glutaraldehyde("glutaraldehyde-4", &[ml("stock", "glutaraldehyde stock, 25 %", 160.0)]),
    PartsRecipe {
        id: "rna-salt-solution",
        parts: &[
            g("ammonium_sulphate", "ammonium sulphate", 502.0),
            g("edta", "EDTA, disodium salt dihydrate", 7.1),
            g("sodium_citrate", "sodium citrate, trisodium salt dihydrate", 5.3),
        ],
        made_up_with: Some(WATER),
        makes_ml: 1000.0,
        order: &[
            "Dissolve the EDTA and the citrate in half the water, then the ammonium sulphate, warm.",
            "Let it cool; bring the pH to 5.2 with a little sulphuric acid, drop by drop into the stirred fluid; make up with water.",
        ],
        notes: &["For nucleic acids in small pieces of fresh tissue, cold; not for preserving form."],
        hazards: &[Beware::Ammonium, Beware::SulphuricAcid],
        source: "from memory: Camacho-Sanchez and others, Molecular Ecology Resources 13 (2013) 663 (3.8 M ammonium sulphate, \
                 0.019 M EDTA, 0.018 M citrate), to be checked",
    },
    PartsRecipe {
        id: "carnoy",
        parts: &[
            ml("ethanol_100", "ethanol, absolute", 60.0),
            ml("chloroform", "chloroform", 30.0),
            ml("acetic_acid", "glacial acetic acid", 10.0),
        ],
        made_up_with: None,
        makes_ml: 100.0,
        order: &["Under extraction, just before use: add the chloroform to the alcohol, then the acid. Use glass."],
        notes: &[
            "For a few hours, not for storage: go on to strong alcohol. Another mixture of three parts alcohol and one \
             of acid is Clarke's.",
        ],
        hazards: &[Beware::Alcohol, Beware::Chloroform, Beware::Acid],
        source: "P. Gray, The Microtomist's Formulary and Guide, 1954, quoting Carnoy, La Cellule 3 (1887) 276",
    },
    PartsRecipe {
        id: "alcohol-glycerol",
        parts: &[ml("ethanol_70", "ethanol 70 %", 95.0), ml("glycerol", "glycerol", 5.0)],
        made_up_with: None,
        makes_ml: 100.0,
        order: &["Stir the glycerol into the alcohol until no streaks are left."],
        notes: &["Glycerol falsifies a density reading: record the strength of the alcohol used."],
        hazards: &[Beware::Alcohol, Beware::Glycerol],
        source: "common practice, no source",
    },
    PartsRecipe {
        id: "propylene-glycol-50",
        parts: &[ml("propylene_glycol", "propylene glycol", 500.0)],
        made_up_with: Some(WATER),
        makes_ml: 1000.0,
        order: &["Stir the glycol into most of the water.", "Make up with water and stir."],
        notes: &["It does not fix, and weak mixtures go mouldy."],
        hazards: &[Beware::PropyleneGlycol],
        source: "by volume, as its name says; common practice, no source",
    },
];
