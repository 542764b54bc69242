//! Fluids, materials and closures that keepers have are in the tables, with the verdicts of their sources.

use std::collections::BTreeMap;

use super::{ids, list, number, parts, row_of, table, verdict};
use rehouse::intake::default_rules;
use rehouse::rules::{Family, FluidId, plain};

#[test]
fn formalin_goes_through_water_before_any_alcohol() {
    // Meador, Cuffney and Gurtz, USGS Open-File Report 93-104 (1993), p. 28: tap water 48 h with one change.
    let rules = default_rules();
    let water = rules.fluid_named("water").expect("water");
    let holds_alcohol =
        rules.fluids.iter().enumerate().filter(|(_, fluid)| fluid.is_of(Family::Alcohol) && !fluid.present_only);
    let mut ways = 0;
    for (i, fluid) in holds_alcohol {
        for from in ["formaldehyde", "glutaraldehyde-2", "glutaraldehyde-4"] {
            let way = rules.transfers.iter().find(|way| way.from == from && way.to == FluidId(i as u16));
            let way = way.unwrap_or_else(|| panic!("no way from {from} to {}", fluid.id));
            assert_eq!(
                (&way.baths[..2], &way.days[..2]),
                (&[water, water][..], &[1.0, 1.0][..]),
                "{from} to {}",
                fluid.id
            );
            let days = way.baths.len();
            assert_eq!((way.baths.last(), way.days.len()), (Some(&FluidId(i as u16)), days), "{from} to {}", fluid.id);
            // Strengths rise, never above the wanted one.
            let steps: Vec<f64> =
                way.baths[2..way.baths.len() - 1].iter().filter_map(|bath| rules.fluid(*bath).strength_pct).collect();
            assert!(steps.windows(2).all(|pair| pair[0] <= pair[1]), "{}: {steps:?}", fluid.id);
            ways += 1;
        }
    }
    assert!(ways > 60, "{ways}");
    let ids = |to: &str| -> Vec<&str> {
        let to = rules.fluid_named(to).expect("a fluid");
        let way = rules.transfers.iter().find(|way| way.from == "formaldehyde" && way.to == to).expect("a way");
        way.baths.iter().map(|bath| rules.fluid(*bath).id.as_str()).collect()
    };
    assert_eq!(ids("ethanol-50"), ["water", "water", "ethanol-30", "ethanol-50"]);
    assert_eq!(ids("denatured-96"), ["water", "water", "ethanol-30", "ethanol-50", "ethanol-70", "denatured-96"]);
    let strong = ["water", "water", "ethanol-30", "ethanol-50", "ethanol-70", "ethanol-96"];
    assert_eq!(ids("ethanol-100"), [&strong[..], &["ethanol-100"]].concat());
    assert_eq!(ids("carnoy"), [&strong[..], &["carnoy"]].concat());
    // A row for the fluid itself comes before the row of the family.
    assert_eq!(ids("ethanol-96")[5..], ["ethanol-96", "ethanol-96"]);
}

#[test]
fn the_tables_have_the_fluids_that_keepers_use_and_mixtures_of_two_families() {
    let wanted = [
        "faa",
        "steedman",
        "formol-saline-10",
        "sea-water-formalin-4",
        "sea-water-formalin-5",
        "formalin-20",
        "phenoxyethanol-1",
        "propylene-glycol-100",
        "dmdm-hydantoin",
        "glutaraldehyde-4",
        "rna-salt-solution",
        "carnoy",
        "jores",
        "pulvertaft",
        "glycerol-60",
        "glycerol-80",
        "isopropanol-45",
        "isopropanol-55",
        "isopropanol-60",
        "isopropanol-99",
        "ethanol-65",
        "ethanol-85",
        "alcohol-glycerol",
        "liquid-paraffin",
    ];
    let fluids = ids("fluids.csv", "fluid");
    for fluid in wanted {
        assert!(fluids.iter().any(|id| id == fluid), "{fluid}");
    }
    assert_eq!(row_of("fluids.csv", "fluid", "faa")["also_family"], "formaldehyde");
    // OIML R 22, International alcoholometric tables (1975), general formula: g/ml at 20 °C.
    for (fluid, density) in [("ethanol-65", 0.89765), ("ethanol-85", 0.84485)] {
        let stated = number(&row_of("fluids.csv", "fluid", fluid)["density_g_ml"]);
        assert!((stated - density).abs() < 0.000_051, "{fluid}: {stated}");
    }
    // British Pharmacopoeia, Liquid paraffin: 0.827 to 0.890 g/ml.
    assert!((0.827..=0.890).contains(&number(&row_of("fluids.csv", "fluid", "liquid-paraffin")["density_g_ml"])));
}

#[test]
fn the_tables_have_the_closures_and_materials_of_old_collections() {
    let parts = parts();
    for part in [
        "pp-cap-cone-liner",
        "cap-pulp-liner",
        "cap-foil-liner",
        "pp-cap-foam-ptfe",
        "neoprene-stopper",
        "cotton-plugged-vial",
        "flame-sealed-ampoule",
        "bladder",
        "lead-seal",
        "pitch-seal",
        "film-over-flange",
        "gelatine-seal",
        "bitumen-seal",
        "gutta-percha-seal",
        "nylon",
        "aluminium",
        "pmp",
        "ptfe",
        "fep",
        "abs",
        "grp",
    ] {
        assert!(parts.iter().any(|id| id == part), "{part}");
    }
    // D. Neumann, NHCOLL-L list, 24 February 2011: film wraps split in heat and dissolve on greased flanges.
    for fluid in ["ethanol-70", "formalin-10", "kaiserling-3"] {
        assert_eq!(verdict(fluid, "film-over-flange").0, "unsuitable", "{fluid}");
    }
}

#[test]
fn seals_that_cannot_be_made_again_are_unsuitable_for_new_fillings() {
    // Old anatomical jars: some have stayed tight for over a century, but the seal cannot be made again; a conservator's work (from memory).
    let rows = table("compatibility.csv");
    for seal in ["bladder", "lead-seal", "pitch-seal", "bitumen-seal"] {
        let of_seal: Vec<_> = rows.iter().filter(|row| row["part"] == seal).collect();
        assert_eq!(of_seal.len(), 5, "{seal} with every family");
        for row in of_seal {
            assert_eq!(row["verdict"], "unsuitable", "{seal} with {}: accepted nowhere", row["fluid"]);
            assert!(row["note"].starts_with("Cannot be replaced: leave it if sound"), "{row:?}");
        }
    }
    // Seals that can be made again last a stated time.
    for seal in ["gutta-percha-seal", "gelatine-seal"] {
        assert_eq!(row_of("closures.csv", "closure", seal)["life_years"], "5", "{seal}");
    }
}

#[test]
fn polystyrene_with_alcohol_is_for_two_years_and_for_review() {
    // D. Horton, Taxacom list, 5 December 1994 (crazed); NHCOLL-L list, message 1741, October 2002 (broke at about 2 years).
    for fluid in ["ethanol-70", "denatured-80", "isopropanol-50"] {
        assert_eq!(verdict(fluid, "polystyrene"), ("limited".to_owned(), "2".to_owned()), "{fluid}");
    }
    let rows = table("compatibility.csv");
    let row = rows.iter().find(|row| row["fluid"] == "alcohol" && row["part"] == "polystyrene").expect("that row");
    assert_eq!(row["review"], "yes");
}

#[test]
fn a_name_of_a_material_or_closure_means_one_only() {
    for (file, id) in [("materials.csv", "material"), ("closures.csv", "closure")] {
        let mut meaning: BTreeMap<String, String> = BTreeMap::new();
        for row in table(file) {
            for name in std::iter::once(row[id].as_str()).chain(list(&row["aliases"])) {
                let earlier = meaning.insert(plain(name), row[id].clone()).filter(|other| *other != row[id]);
                assert_eq!(earlier, None, "{name:?} also stands for {}", row[id]);
            }
        }
    }
}

#[test]
fn hazards_hold_or_caution_and_say_why() {
    for row in table("hazards.csv") {
        assert!(["held", "caution"].contains(&row["action"].as_str()), "{row:?}");
        assert!(row["words"].ends_with('.') && row["words"].contains(": "), "{row:?}");
    }
    for hazard in ["picric", "ether"] {
        assert_eq!(row_of("hazards.csv", "hazard", hazard)["action"], "held", "{hazard}");
    }
}

#[test]
fn every_fluid_with_formaldehyde_goes_to_alcohol_through_water() {
    let rules = default_rules();
    let alcohols = rules.fluids.iter().enumerate().filter(|(_, fluid)| fluid.id.starts_with("ethanol-"));
    let strong = alcohols.filter(|(_, fluid)| fluid.strength_pct.is_some_and(|pct| pct >= 60.0));
    let mut found = 0;
    for (i, fluid) in strong {
        let to = |from: &str| rules.transfers.iter().find(|way| usize::from(way.to.0) == i && way.from == from);
        let way = to("steedman").or_else(|| to("formaldehyde")).unwrap_or_else(|| panic!("no way to {}", fluid.id));
        let baths: Vec<&str> = way.baths.iter().take(2).map(|bath| rules.fluid(*bath).id.as_str()).collect();
        assert_eq!(baths, ["water", "water"], "{}", fluid.id);
        assert!(way.source.contains("USGS Open-File Report 93-104"), "{}", fluid.id);
        found += 1;
    }
    assert_eq!(found, 10);
}
