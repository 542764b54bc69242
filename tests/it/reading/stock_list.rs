//! The stock list, suppliers and the fluid on the shelf.

use super::{ReadingCase, STOCK, found, mm, one_vessel};
use rehouse::rules::FluidId;
use rehouse::stock::{Section, VesselId};
use rehouse::units::{Mass, Millilitres, Money, Volume};

#[test]
fn every_cell_of_a_stock_list_is_read() {
    let text = "vessel,description,form,inner_length_cm,inner_width_cm,inner_height_cm,body_height_mm,mouth_length_mm,\
                mouth_width_mm,capacity_l,material,closure,on_hand,on_order,reserve,pack_price,pack_size,min_packs,\
                order_limit,supplier,order_code,outer_height_mm,outer_length_mm,outer_width_mm,empty_mass_kg,shelf\n\
                B,Tall box,Rectangular,10,8,20,180,90,70,1.6,SODA-LIME,PP-cap,5,2,1,30,12,2,48,Glass & Co,G-7,210,106,86,0.8,S1\n\
                B,,,,,,,,,,,,,,,25,12,5,,Other,,,,,,\n\
                A,,cylinder,,,10,,,,,soda-lime,pp-cap,1,,,,,,,,,,,,,\n";
    let text = text.replace("inner_length_cm,", "inner_diameter_mm,inner_length_cm,");
    let text =
        text.replace("Rectangular,", "Rectangular,,").replace("B,,,", "B,,,,").replace("cylinder,", "cylinder,50,");
    let project = ReadingCase::stock(text).project();
    let [a, b] = &project.stock.vessels[..] else { panic!() };
    assert_eq!((a.id.as_str(), a.line, a.section), ("A", 4, Section::Round(mm(50.0))));
    assert_eq!((a.mouth, a.mouth_assumed, a.body_height), (a.section, true, a.inner_height));
    assert!((a.brimful.ml() - 196.3495).abs() < 1e-3, "π/4 × 50² × 100 mm³");
    assert_eq!((b.id.as_str(), b.line, b.description.as_str()), ("B", 2, "Tall box"));
    assert_eq!(b.section, Section::Rectangular(mm(100.0), mm(80.0)));
    assert_eq!((b.inner_height, b.body_height), (mm(200.0), mm(180.0)));
    assert_eq!((b.mouth, b.mouth_assumed), (Section::Rectangular(mm(90.0), mm(70.0)), false));
    assert_eq!(b.brimful, Volume::new(1600.0).unwrap());
    assert_eq!((b.on_hand, b.on_order, b.reserve), (5, 2, 1));
    assert_eq!((b.outer_height, b.outer_width, b.empty_mass), (Some(mm(210.0)), Some(mm(106.0)), Mass::new(800.0)));
    assert_eq!(b.carried, [("shelf".to_owned(), "S1".to_owned())]);
    let [first, second] = &project.stock.offers[..] else { panic!() };
    assert_eq!((first.vessel, first.line, first.pack_size, first.min_packs), (VesselId(1), 2, 12, 2));
    assert_eq!((first.pack_price, first.order_limit, first.order_code.as_str()), (Money::whole(30), Some(48), "G-7"));
    assert_eq!((second.vessel, second.line, second.min_packs, second.order_limit), (VesselId(1), 3, 5, None));
    let names: Vec<&str> = project.stock.suppliers.iter().map(|supplier| supplier.name.as_str()).collect();
    assert_eq!(names, ["Glass & Co", "Other"]);
    let sold_by = |offer: &rehouse::stock::Offer| project.stock.supplier(offer.supplier.unwrap()).name.clone();
    assert_eq!((sold_by(first), sold_by(second)), ("Glass & Co".to_owned(), "Other".to_owned()));
    assert!(!project.suppliers_given);
}

#[test]
fn unknown_materials_and_closures_are_refused_with_the_nearest_name() {
    let case = ReadingCase::stock(STOCK.replace("soda-lime", "soda-lme"));
    assert_eq!(case.found(), ["vessels.csv:2:21 unknown-material"]);
    assert!(case.says().contains("if you mean \"soda-lime\""));
    // By its name too.
    let says = ReadingCase::stock(STOCK.replace("soda-lime", "\"Soda lime glas\"")).says();
    assert!(says.contains("if you mean \"soda-lime\""), "{says}");
    found(ReadingCase::stock(STOCK.replace("pp-cap", "lid")), &["vessels.csv:2:31 unknown-closure"]);
}

#[test]
fn a_vessel_needs_the_measures_of_its_form() {
    found(ReadingCase::stock(STOCK.replace(",80,", ",,")), &["vessels.csv:2:14 blank-cell"]);
    found(
        ReadingCase::stock(STOCK.replace("cylinder", "rectangular")),
        &["vessels.csv:2:5 blank-cell", "vessels.csv:2:5 blank-cell", "vessels.csv:2:17 form-mismatch"],
    );
    found(ReadingCase::stock(STOCK.replace("cylinder", "")), &["vessels.csv:2:5 blank-cell"]);
    found(ReadingCase::stock(STOCK.replace("cylinder", "sphere")), &["vessels.csv:2:5 unknown-word"]);
    found(ReadingCase::stock(STOCK.replace(",150,", ",0,")), &["vessels.csv:2:17 zero"]);
    found(ReadingCase::stock(STOCK.replace("soda-lime", "")), &["vessels.csv:2:21 blank-cell"]);
    found(ReadingCase::stock(STOCK.replace("J-1", "")), &["vessels.csv:2:1 blank-cell"]);
    found(ReadingCase::stock(STOCK.replace("J-1", "@tank")), &["vessels.csv:2:1 reserved-name"]);
}

#[test]
fn a_mouth_wider_than_the_body_is_refused() {
    let mouth = |headers: &str, cells: &str| ReadingCase::stock(one_vessel(headers, cells));
    found(mouth("mouth_diameter_mm", "80"), &[]);
    found(mouth("mouth_diameter_mm", "80.1"), &["vessels.csv:2:1 mouth-wider-than-body"]);
    // A square of 57 has a diagonal of 80.6.
    found(mouth("mouth_length_mm,mouth_width_mm", "56,56"), &[]);
    found(mouth("mouth_length_mm,mouth_width_mm", "57,57"), &["vessels.csv:2:1 mouth-wider-than-body"]);
    found(mouth("mouth_length_mm,mouth_width_mm", "50,"), &["vessels.csv:2:1 incomplete-mouth"]);
    found(
        mouth("mouth_length_mm,mouth_width_mm,mouth_diameter_mm", "50,50,50"),
        &["vessels.csv:2:7 contradictory-mouth"],
    );
}

#[test]
fn a_neck_finish_gives_the_bore_unless_the_mouth_was_measured() {
    let project = ReadingCase::stock(one_vessel("neck_finish", "70-400")).project();
    assert_eq!(project.stock.vessels[0].mouth, Section::Round(mm(61.4)));
    let project = ReadingCase::stock(one_vessel("neck_finish,mouth_diameter_mm", "70-400,60")).project();
    assert_eq!(project.stock.vessels[0].mouth, Section::Round(mm(60.0)));
    let case = ReadingCase::stock(one_vessel("neck_finish", "70-40"));
    assert_eq!(case.found(), ["vessels.csv:2:1 unknown-neck-finish"]);
    assert!(case.says().contains("if you mean \"70-400\""));
}

#[test]
fn a_shoulder_above_the_top_is_refused() {
    found(ReadingCase::stock(one_vessel("body_height_mm", "150")), &[]);
    found(ReadingCase::stock(one_vessel("body_height_mm", "151")), &["vessels.csv:2:1 shoulder-above-top"]);
}

#[test]
fn a_capacity_is_compared_with_the_inner_measures() {
    // π/4 × 80² × 150 mm³ = 753.98 ml.
    for (capacity, expected) in [
        ("753", vec![]),
        ("641", vec![]),
        ("640", vec!["vessels.csv:2:1 capacity-below-geometry?"]),
        ("755", vec!["vessels.csv:2:1 capacity-above-geometry?"]),
        ("980", vec!["vessels.csv:2:1 capacity-above-geometry?"]),
        ("981", vec!["vessels.csv:2:1 capacity-beyond-geometry"]),
    ] {
        assert_eq!(ReadingCase::stock(one_vessel("capacity_ml", capacity)).found(), expected, "{capacity}");
    }
    assert_eq!(ReadingCase::stock(one_vessel("capacity_ml", "755")).project().stock.vessels[0].brimful.ml(), 755.0);
    found(ReadingCase::stock(one_vessel("outer_height_mm", "140")), &["vessels.csv:2:1 outer-below-inner?"]);
}

#[test]
fn both_outer_sides_of_a_rectangular_vessel_are_compared_with_the_inner_ones() {
    let stock = |outer_length: &str, outer_width: &str| {
        ReadingCase::stock(format!(
            "vessel,form,inner_length_mm,inner_width_mm,inner_height_mm,material,closure,outer_length_mm,outer_width_mm\n\
             J-1,rectangular,60,100,90,soda-lime,pp-cap,{outer_length},{outer_width}\n"
        ))
    };
    found(stock("66", "106"), &[]);
    found(stock("66", "10.6 cm"), &[]);
    found(stock("59", "106"), &["vessels.csv:2:44 outer-below-inner?"]);
    found(stock("66", "99"), &["vessels.csv:2:47 outer-below-inner?"]);
    found(stock("66", "wide"), &["vessels.csv:2:47 not-a-number"]);
}

#[test]
fn rows_of_one_vessel_must_agree_or_be_blank() {
    let rows = |second: &str| ReadingCase::stock(format!("{STOCK}{second}\n"));
    found(rows("J-1,,,,,,2.20"), &[]);
    found(rows("J-1,Cylinder,8 cm,150,soda-lime,pp-cap,2.20"), &[]);
    let case = rows("J-1,,80,151,,,2.20");
    assert_eq!(case.found(), ["vessels.csv:3:9 contradictory-rows"]);
    assert!(case.says().contains("inner_height_mm: \"151\" – row 2 has another value for the same vessel"));
    // A cell that is blank in the first row may be filled in the second.
    let text = STOCK.replace("80,150", "80,") + "J-1,,,150,,,2.20\n";
    assert_eq!(ReadingCase::stock(text).project().stock.vessels[0].inner_height, mm(150.0));
}

#[test]
fn an_unreadable_cell_hides_no_other_error_of_its_vessel_and_causes_none() {
    // A wrong price in the first row: the second row is still compared with it, and its blank cells are no errors.
    let text = STOCK.replace("2.50", "x") + "J-1,,81,,,,2\n";
    found(ReadingCase::stock(text), &["vessels.csv:2:38 not-a-number", "vessels.csv:3:6 contradictory-rows"]);
    // An unknown closure: mouth and capacity are still checked.
    let text = one_vessel("mouth_diameter_mm,capacity_ml", "90,990").replace("pp-cap", "pp-cup");
    let expected = [
        "vessels.csv:2:1 mouth-wider-than-body",
        "vessels.csv:2:4 capacity-beyond-geometry",
        "vessels.csv:2:38 unknown-closure",
    ];
    found(ReadingCase::stock(text), &expected);
    // A height that cannot be read: the mouth is compared with the bore, the capacity with nothing.
    let text = one_vessel("mouth_diameter_mm,capacity_ml", "90,990").replace(",150,", ",15 oz,");
    found(ReadingCase::stock(text), &["vessels.csv:2:1 mouth-wider-than-body", "vessels.csv:2:24 unknown-unit"]);
    // A mouth with one side that cannot be read is not an incomplete mouth.
    let text = one_vessel("mouth_length_mm,mouth_width_mm", "30,x");
    found(ReadingCase::stock(text), &["vessels.csv:2:4 not-a-number"]);
    // A bore that cannot be read is not a blank one.
    found(ReadingCase::stock(STOCK.replace(",80,", ",x,")), &["vessels.csv:2:14 not-a-number"]);
}

#[test]
fn pieces_are_counted_on_one_row() {
    let rows =
        |second: &str| ReadingCase::stock(format!("{}{second},J-1,,,,,\n", one_vessel("on_hand,unit_price", "5,2")));
    found(rows("0,2.2"), &[]);
    found(rows(",2.2"), &[]);
    found(rows("5,2.2"), &["vessels.csv:3:1 stock-on-several-rows"]);
}

#[test]
fn prices_must_agree() {
    let offers = |headers: &str, cells: &str| ReadingCase::stock(one_vessel(headers, cells));
    let price = |case: &ReadingCase| case.project().stock.offers.first().map(|offer| offer.pack_price);
    assert_eq!(price(&offers("unit_price,pack_size", "2.50,12")), Some(Money::whole(30)));
    assert_eq!(price(&offers("unit_price,pack_price,pack_size", "2.50,30,12")), Some(Money::whole(30)));
    assert_eq!(price(&offers("pack_size", "12")), None, "no price, no offer");
    assert_eq!(price(&offers("unit_price,order_limit", "2.50,0")), None, "limit 0, no offer");
    found(offers("unit_price,pack_price,pack_size", "2.50,29,12"), &["vessels.csv:2:6 contradictory-price"]);
    found(offers("unit_price,pack_size", "999999999,12"), &["vessels.csv:2:1 too-large"]);
}

#[test]
fn an_order_limit_below_a_pack_is_a_warning() {
    let case = ReadingCase::stock(one_vessel("unit_price,pack_size,order_limit", "2,12,11"));
    assert_eq!(case.found(), ["vessels.csv:2:6 order-limit-below-pack?"]);
    assert!(case.project().stock.offers.is_empty());
}

#[test]
fn suppliers_terms_are_read_and_a_missing_supplier_is_refused() {
    let suppliers =
        "supplier,delivery_charge,free_delivery_over,minimum_order,lead_days\nZed,9.5,,50,7\nAcme Jars,,100,,\n";
    let stock = |name: &str| {
        ReadingCase::stock(one_vessel("unit_price,supplier", &format!("2,{name}"))).with("suppliers.csv", suppliers)
    };
    let project = stock("Zed").project();
    let [acme, zed] = &project.stock.suppliers[..] else { panic!() };
    assert_eq!((acme.name.as_str(), acme.delivery_charge), ("Acme Jars", Money::ZERO));
    assert_eq!(acme.free_delivery_over, Some(Money::whole(100)));
    assert_eq!(
        (zed.delivery_charge, zed.minimum_order, zed.lead_days),
        (Money::parse("9.5").unwrap(), Money::whole(50), Some(7))
    );
    assert_eq!(project.stock.offers[0].supplier, Some(rehouse::stock::SupplierId(1)));
    assert!(project.suppliers_given);
    let case = stock("Acme Jar");
    assert_eq!(case.found(), ["vessels.csv:2:3 unknown-supplier"]);
    assert!(case.says().contains("if you mean \"Acme Jars\""));
    found(stock("Zed").with("suppliers.csv", "supplier\nZed\nZed\n"), &["suppliers.csv:3:1 duplicate-supplier"]);
}

#[test]
fn fluid_on_the_shelf_is_read_in_litres() {
    let project = ReadingCase::new()
        .with("fluid-stock.csv", "fluid,litres,location\n70% alcohol,2.5,A\nethanol-96,500 ml,\n")
        .project();
    let amounts: Vec<(FluidId, Millilitres)> =
        project.stock.fluids.iter().map(|owned| (owned.fluid, owned.amount)).collect();
    assert_eq!(amounts, [(FluidId(0), Millilitres(2500)), (FluidId(1), Millilitres(500))]);
    found(
        ReadingCase::new().with("fluid-stock.csv", "fluid,litres\ngin,\n"),
        &["fluid-stock.csv:2:1 unknown-fluid", "fluid-stock.csv:2:5 blank-cell"],
    );
}
