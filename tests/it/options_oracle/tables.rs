//! Rules for these tests: invented fluids, materials and closures that reach every verdict, family and headspace.

/// A preservative: id, family, a second family of a mixture, strength (%), growth from 20 to 35 °C (%), price per litre.
pub struct OracleFluid {
    pub id: &'static str,
    pub family: &'static str,
    pub also: Option<&'static str>,
    pub strength_pct: Option<f64>,
    pub growth_pct: f64,
    pub price_per_litre: f64,
}

pub const FLUIDS: [OracleFluid; 7] = [
    OracleFluid {
        id: "spirit-70",
        family: "alcohol",
        also: None,
        strength_pct: Some(70.0),
        growth_pct: 1.5,
        price_per_litre: 3.2,
    },
    OracleFluid {
        id: "spirit-95",
        family: "alcohol",
        also: None,
        strength_pct: Some(95.0),
        growth_pct: 1.7,
        price_per_litre: 4.75,
    },
    OracleFluid {
        id: "formol-4",
        family: "formaldehyde",
        also: None,
        strength_pct: Some(4.0),
        growth_pct: 0.45,
        price_per_litre: 0.9,
    },
    OracleFluid {
        id: "syrup-70",
        family: "glycerol",
        also: None,
        strength_pct: Some(70.0),
        growth_pct: 0.8,
        price_per_litre: 5.0,
    },
    OracleFluid {
        id: "brine",
        family: "aqueous",
        also: None,
        strength_pct: None,
        growth_pct: 0.43,
        price_per_litre: 0.0,
    },
    // Belongs to two families, so the stricter verdict of both holds.
    OracleFluid {
        id: "fixative",
        family: "alcohol",
        also: Some("formaldehyde"),
        strength_pct: Some(45.0),
        growth_pct: 1.2,
        price_per_litre: 2.1,
    },
    // Grows so much that twice its growth exceeds any headspace of an aqueous fluid.
    OracleFluid { id: "oil", family: "oil", also: None, strength_pct: None, growth_pct: 7.1, price_per_litre: 38.5 },
];

/// A material or closure: id, its own life in years, and whether it is clear (a material) or a sealed plate (a closure).
pub struct OraclePart {
    pub id: &'static str,
    pub life_years: Option<f64>,
    pub marked: bool,
}

pub const MATERIALS: [OraclePart; 5] = [
    OraclePart { id: "hard-glass", life_years: None, marked: true },
    OraclePart { id: "window-glass", life_years: None, marked: true },
    OraclePart { id: "milk-plastic", life_years: Some(20.0), marked: false },
    OraclePart { id: "clear-plastic", life_years: Some(6.0), marked: true },
    OraclePart { id: "stoneware", life_years: None, marked: false },
];

pub const CLOSURES: [OraclePart; 5] = [
    OraclePart { id: "ground-stopper", life_years: Some(25.0), marked: false },
    OraclePart { id: "sealed-plate", life_years: Some(30.0), marked: true },
    OraclePart { id: "screw-cap", life_years: Some(15.0), marked: false },
    OraclePart { id: "bung", life_years: Some(3.0), marked: false },
    OraclePart { id: "tin-lid", life_years: Some(8.0), marked: false },
];

/// Closures that can be renewed when they are due.
pub const RENEWED: [&str; 2] = ["sealed-plate", "tin-lid"];

/// A fluid or family, a part, a verdict, its years (0 for none). Missing pairs are unproven.
pub const COMPATIBILITY: [(&str, &str, &str, u32); 33] = [
    ("alcohol", "hard-glass", "permanent", 0),
    ("formaldehyde", "hard-glass", "permanent", 0),
    ("glycerol", "hard-glass", "permanent", 0),
    ("aqueous", "hard-glass", "permanent", 0),
    ("oil", "hard-glass", "permanent", 0),
    ("alcohol", "window-glass", "permanent", 0),
    ("formaldehyde", "window-glass", "limited", 12),
    ("glycerol", "window-glass", "permanent", 0),
    ("aqueous", "window-glass", "permanent", 0),
    ("oil", "window-glass", "unproven", 0),
    ("alcohol", "milk-plastic", "permanent", 0),
    ("formaldehyde", "milk-plastic", "permanent", 0),
    ("glycerol", "milk-plastic", "limited", 9),
    ("oil", "milk-plastic", "unsuitable", 0),
    ("alcohol", "clear-plastic", "unsuitable", 0),
    ("formaldehyde", "clear-plastic", "permanent", 0),
    ("aqueous", "clear-plastic", "permanent", 0),
    // A fluid's own row may be stricter or milder than its family's.
    ("spirit-95", "milk-plastic", "limited", 4),
    ("formol-4", "clear-plastic", "unsuitable", 0),
    ("spirit-70", "clear-plastic", "limited", 5),
    ("alcohol", "ground-stopper", "permanent", 0),
    ("formaldehyde", "ground-stopper", "permanent", 0),
    ("glycerol", "ground-stopper", "permanent", 0),
    ("aqueous", "ground-stopper", "permanent", 0),
    ("oil", "ground-stopper", "permanent", 0),
    ("alcohol", "sealed-plate", "limited", 7),
    ("aqueous", "sealed-plate", "permanent", 0),
    ("formaldehyde", "sealed-plate", "permanent", 0),
    ("alcohol", "screw-cap", "permanent", 0),
    ("formaldehyde", "screw-cap", "permanent", 0),
    ("aqueous", "bung", "permanent", 0),
    ("alcohol", "bung", "permanent", 0),
    ("formaldehyde", "tin-lid", "limited", 1),
];

/// The pairs of these that are used but marked for review.
pub const FOR_REVIEW: [(&str, &str); 3] =
    [("spirit-70", "clear-plastic"), ("formaldehyde", "window-glass"), ("aqueous", "bung")];

/// Whether a fluid and a part are marked for review: by the fluid's own row, else by its families' rows.
pub fn for_review(fluid: &OracleFluid, part: &str) -> bool {
    let own = COMPATIBILITY.iter().any(|row| row.0 == fluid.id && row.1 == part);
    let families = [Some(fluid.family), fluid.also];
    match own {
        true => FOR_REVIEW.contains(&(fluid.id, part)),
        false => families.into_iter().flatten().any(|family| FOR_REVIEW.contains(&(family, part))),
    }
}

/// From a fluid or family to a fluid, by these baths; the last is the fluid itself.
pub const TRANSFERS: [(&str, &str, &[&str]); 7] = [
    ("formaldehyde", "spirit-70", &["brine", "spirit-70", "spirit-70"]),
    ("formaldehyde", "spirit-95", &["spirit-70", "spirit-95"]),
    ("alcohol", "formol-4", &["brine", "formol-4"]),
    ("alcohol", "syrup-70", &["syrup-70"]),
    // Both the fluid and its family have steps.
    ("spirit-95", "formol-4", &["spirit-70", "brine", "formol-4", "formol-4"]),
    ("spirit-95", "spirit-70", &["spirit-70"]),
    ("brine", "oil", &["spirit-95", "oil"]),
];

/// Thread finishes used, with their minimum bore in mm.
pub const NECKS: [(&str, f64); 3] = [("28-400", 15.6), ("58-400", 44.1), ("89-400", 74.1)];

/// The project's `rules/` folder: file name and text. Tanks have parts of their own, which no fluid suits.
pub fn files() -> Vec<(&'static str, String)> {
    let years = |life: Option<f64>| life.map_or_else(String::new, |life| life.to_string());
    let yes = |marked| if marked { "yes" } else { "no" };
    let mut fluids =
        "fluid,name,aliases,family,also_family,strength_pct,density_g_ml,growth_20_35_pct,flash_c,price_per_litre,\
                      hazard,source,note\n"
            .to_owned();
    for fluid in &FLUIDS {
        let strength = years(fluid.strength_pct);
        let OracleFluid { id, family, also, growth_pct, price_per_litre, .. } = fluid;
        let also = also.unwrap_or_default();
        fluids += &format!("{id},{id},,{family},{also},{strength},1,{growth_pct},,{price_per_litre},,invented,\n");
    }
    let mut materials = "material,name,clear,life_years,source,note\n".to_owned();
    for part in &MATERIALS {
        materials += &format!("{0},{0},{1},{2},invented,\n", part.id, yes(part.marked), years(part.life_years));
    }
    materials += "silicone-bonded-glass,tank,yes,,invented,\n";
    let mut closures = "closure,name,plate_sealed,renewal,life_years,source,note\n".to_owned();
    for part in &CLOSURES {
        let renewal = if RENEWED.contains(&part.id) { "new seal" } else { "" };
        let (sealed, life) = (yes(part.marked), years(part.life_years));
        closures += &format!("{0},{0},{sealed},{renewal},{life},invented,\n", part.id);
    }
    closures += "plate-silicone,lid of a tank,yes,,,invented,\n";
    let mut compatibility = "fluid,part,verdict,years,review,note,source\n".to_owned();
    for (fluid, part, verdict, limit) in COMPATIBILITY {
        let limit = if limit == 0 { String::new() } else { limit.to_string() };
        let review = if FOR_REVIEW.contains(&(fluid, part)) { "yes" } else { "" };
        compatibility += &format!("{fluid},{part},{verdict},{limit},{review},,invented\n");
    }
    let mut necks = "finish,bore_mm,thread_mm,height_mm,source\n".to_owned();
    for (finish, bore) in NECKS {
        necks += &format!("{finish},{bore},{},10,invented\n", bore + 14.0);
    }
    let mut transfers = "from,to,baths,days_per_bath,source,note\n".to_owned();
    for (from, to, baths) in TRANSFERS {
        transfers += &format!("{from},{to},{},2,invented,\n", baths.join("|"));
    }
    vec![
        ("rules/fluids.csv", fluids),
        ("rules/materials.csv", materials),
        ("rules/closures.csv", closures),
        ("rules/compatibility.csv", compatibility),
        ("rules/neck-finishes.csv", necks),
        ("rules/transfers.csv", transfers),
    ]
}
