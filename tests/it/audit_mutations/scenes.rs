//! Two small projects, built value by value: one in which every outcome and every kind of line occurs, and one in which
//! a lot is divided and a supplier's threshold is met by spare packs.

use rehouse::collection::{
    Collection, Display, Envelope, Key, Outline, Posture, Size, Specimen, Tissue, VesselChoice,
};
use rehouse::project::Project;
use rehouse::rules::{
    Closure, ClosureId, Compatibility, Family, Fluid, FluidId, Material, MaterialId, Rules, Verdict,
};
use rehouse::settings::{Factor, Percent, Settings};
use rehouse::stock::{Offer, Section, Stock, Supplier, SupplierId, Vessel, VesselId};
use rehouse::units::{Length, Money, Volume};

const ETHANOL: FluidId = FluidId(0);
const FORMALIN: FluidId = FluidId(1);
const UNKNOWN: FluidId = FluidId(2);

/// Every outcome: on hand, to be ordered, tanks of known and unknown price, deferred, needs a decision for want of a
/// vessel and of knowledge, held. Two suppliers, spare pieces, a budget, labour.
pub fn every_outcome() -> Project {
    let specimens = vec![
        specimen("A-01", [60.0, 20.0, 20.0], 2),
        specimen("A-02", [62.0, 20.0, 20.0], 1),
        specimen("A-03", [64.0, 20.0, 20.0], 3),
        specimen("A-04", [66.0, 20.0, 20.0], 3),
        Specimen { must_use: vec![VesselChoice::Listed(VesselId(2))], ..specimen("B-01", [70.0, 24.0, 24.0], 3) },
        Specimen { section_give: 0.1, ..specimen("B-02", [100.0, 45.0, 45.0], 2) },
        Specimen { fluid: FORMALIN, ..specimen("C-01", [300.0, 90.0, 120.0], 2) },
        specimen("C-02", [300.0, 90.0, 120.0], 3),
        Specimen { posture: Posture::AsSet, ..specimen("D-01", [400.0, 20.0, 30.0], 3) },
        Specimen { fluid: UNKNOWN, ..specimen("D-02", [60.0, 20.0, 20.0], 3) },
        Specimen { hold: Some("on display".to_owned()), ..specimen("E-01", [60.0, 20.0, 20.0], 3) },
        Specimen { hazards: vec!["picric".to_owned()], ..specimen("E-02", [60.0, 20.0, 20.0], 3) },
        Specimen { display: Display::Flat, ..specimen("F-01", [40.0, 15.0, 15.0], 3) },
        Specimen { display: Display::Flat, hazards: vec!["human".to_owned()], ..specimen("F-02", [41.0, 15.0, 15.0], 4) },
    ];
    let vessels = vec![
        Vessel { closure: CORK, on_hand: 9, ..vessel("CORKED-60", round(60.0), 110.0) },
        Vessel { on_hand: 2, ..vessel("JAR-50", round(50.0), 90.0) },
        Vessel { on_hand: 1, on_order: 2, reserve: 2, ..vessel("JAR-70", round(70.0), 120.0) },
        vessel("JAR-90", round(90.0), 150.0),
        Vessel { on_hand: 1, ..vessel("TROUGH", Section::Rectangular(mm(60.0), mm(40.0)), 80.0) },
    ];
    let offers = vec![
        Offer { supplier: Some(SupplierId(0)), pack_size: 4, ..offer(1, "9.60") },
        Offer { supplier: Some(SupplierId(1)), order_limit: Some(4), min_packs: 2, ..offer(3, "7.25") },
    ];
    let suppliers = vec![supplier("Alder Glass", "7.50", Some("60"), "5"), supplier("Birch Works", "5", None, "14")];
    let settings = Settings {
        budget: Some(amount("900")),
        litre_weight: amount("0.0007"),
        spare_pct: Percent(10.0),
        max_vessel_types: Some(3),
        max_suppliers: Some(2),
        labour_in_budget: true,
        minutes_per_move: Factor(20.0),
        rate_per_hour: amount("18.5"),
        ..Settings::default()
    };
    project(specimens, Stock { vessels, offers, suppliers, fluids: Vec::new() }, settings)
}

/// A lot over several equal vessels, some of them free; spare packs that make delivery free.
pub fn divided_lot() -> Project {
    let lot = Specimen { individuals: 12, max_vessels: 4, ..specimen("L-01", [55.0, 22.0, 22.0], 3) };
    let key = Key { institution: "MUS".to_owned(), part: "skin".to_owned(), ..lot.key.clone() };
    let specimens = vec![
        lot.clone(),
        Specimen { key, individuals: 6, max_vessels: 3, priority: 1, ..lot },
        Specimen { outline: Outline::Rounded, tissue: Tissue::Volume(ml(11.0)), ..specimen("L-02", [60.0, 25.0, 25.0], 4) },
    ];
    let vessels = vec![
        Vessel { on_hand: 3, ..vessel("JAR-50", round(50.0), 90.0) },
        Vessel { mouth: round(40.0), body_height: mm(100.0), ..vessel("JAR-60", round(60.0), 120.0) },
    ];
    let offers = vec![
        Offer { supplier: Some(SupplierId(0)), order_limit: Some(40), ..offer(0, "4.00") },
        Offer { supplier: None, pack_size: 3, line: 9, ..offer(0, "13.50") },
        Offer { supplier: Some(SupplierId(0)), ..offer(1, "5.00") },
    ];
    let suppliers = vec![supplier("Alder Glass", "9", Some("20"), "0")];
    project(specimens, Stock { vessels, offers, suppliers, fluids: Vec::new() }, Settings::default())
}

fn project(specimens: Vec<Specimen>, stock: Stock, settings: Settings) -> Project {
    let key_headers = ["catalogNumber", "institutionCode", "part"].map(str::to_owned).to_vec();
    let collection = Collection { specimens, key_headers, carried_headers: Vec::new() };
    Project { collection, stock, rules: rules(), settings, suppliers_given: true }
}

const GLASS: MaterialId = MaterialId(0);
const SCREW: ClosureId = ClosureId(0);
const CORK: ClosureId = ClosureId(2);

fn rules() -> Rules {
    let mut compatibility = Compatibility::unproven(3, 2, 3);
    for fluid in [ETHANOL, FORMALIN] {
        compatibility.set_material(fluid, GLASS, Verdict::Permanent);
        compatibility.set_closure(fluid, SCREW, Verdict::Limited(15.0));
        compatibility.set_closure(fluid, ClosureId(1), Verdict::Permanent);
        compatibility.set_closure(fluid, CORK, Verdict::Permanent);
    }
    compatibility.set_material(FORMALIN, MaterialId(1), Verdict::Permanent);
    Rules {
        fluids: vec![
            fluid("ethanol-70", Family::Alcohol, "4.1237"),
            fluid("formalin-5", Family::Formaldehyde, "1.35"),
            fluid("unknown", Family::Unknown, "0"),
        ],
        materials: vec![material("borosilicate"), material("silicone-bonded-glass")],
        closures: vec![closure("pp-cap-ptfe", None), closure("plate-silicone", Some(15.0)), closure("cork", Some(1.0))],
        compatibility,
        ..Rules::default()
    }
}

fn fluid(id: &str, family: Family, price: &str) -> Fluid {
    Fluid {
        id: id.to_owned(),
        name: id.to_owned(),
        aliases: Vec::new(),
        family,
        strength_pct: None,
        density_g_ml: None,
        growth_20_35: 0.0146,
        flash_c: None,
        price: amount(price),
        price_is_default: family == Family::Alcohol,
        hazard: String::new(),
        source: String::new(),
        note: String::new(),
    }
}

fn material(id: &str) -> Material {
    Material {
        id: id.to_owned(),
        name: id.to_owned(),
        clear: true,
        life_years: None,
        source: String::new(),
        note: String::new(),
    }
}

fn closure(id: &str, life_years: Option<f64>) -> Closure {
    Closure {
        id: id.to_owned(),
        name: id.to_owned(),
        plate_sealed: id.starts_with("plate"),
        life_years,
        source: String::new(),
        note: String::new(),
    }
}

fn specimen(number: &str, [length, width, height]: [f64; 3], priority: u8) -> Specimen {
    Specimen {
        key: Key { catalog_number: number.to_owned(), ..Key::default() },
        line: 2,
        name: String::new(),
        individuals: 1,
        size: Size::Measured(Envelope { length: mm(length), width: mm(width), height: mm(height) }),
        outline: Outline::Box,
        outline_stated: true,
        posture: Posture::Either,
        tissue: Tissue::Unknown,
        body_factor: None,
        fluid: ETHANOL,
        current_fluid: None,
        current_strength_pct: None,
        current_fluid_ml: None,
        tank_quote: None,
        section_give: 0.0,
        keep_years: 10.0,
        display: Display::No,
        priority,
        must_use: Vec::new(),
        must_not_use: Vec::new(),
        max_vessels: 1,
        clearance: None,
        max_outer_height: None,
        hazards: Vec::new(),
        hold: None,
        disposition: String::new(),
        location: String::new(),
        current_vessel: String::new(),
        current_material: String::new(),
        current_closure: String::new(),
        event: String::new(),
        type_status: String::new(),
        carried: Vec::new(),
    }
}

fn vessel(id: &str, section: Section, inner_height: f64) -> Vessel {
    let inner_height = mm(inner_height);
    Vessel {
        id: id.to_owned(),
        line: 2,
        description: String::new(),
        section,
        inner_height,
        body_height: inner_height,
        mouth: section,
        mouth_assumed: true,
        brimful: Vessel::geometric_volume(section, inner_height, section, inner_height),
        material: GLASS,
        closure: SCREW,
        on_hand: 0,
        on_order: 0,
        reserve: 0,
        outer_height: None,
        outer_width: None,
        empty_mass: None,
        carried: Vec::new(),
    }
}

fn offer(vessel: u32, pack_price: &str) -> Offer {
    Offer {
        vessel: VesselId(vessel),
        line: 2 + vessel as usize,
        supplier: None,
        order_code: format!("X{vessel}"),
        pack_size: 1,
        pack_price: amount(pack_price),
        min_packs: 1,
        order_limit: None,
    }
}

fn supplier(name: &str, charge: &str, free_over: Option<&str>, minimum: &str) -> Supplier {
    Supplier {
        name: name.to_owned(),
        delivery_charge: amount(charge),
        free_delivery_over: free_over.map(amount),
        minimum_order: amount(minimum),
        lead_days: None,
    }
}

fn round(bore: f64) -> Section {
    Section::Round(mm(bore))
}

fn mm(length: f64) -> Length {
    Length::new(length).expect("a length")
}

fn ml(volume: f64) -> Volume {
    Volume::new(volume).expect("a volume")
}

fn amount(text: &str) -> Money {
    Money::parse(text).expect("money")
}
