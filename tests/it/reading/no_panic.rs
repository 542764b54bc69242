//! No input makes the reader panic.

use super::ReadingCase;
use proptest::prelude::*;
use rehouse::collection::Size;

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn random_bytes_never_panic(bytes in proptest::collection::vec(any::<u8>(), 0..300), file in 0..12_usize) {
        let name = FILES[file % FILES.len()];
        ReadingCase::new().with(name, bytes).read();
    }

    #[test]
    fn random_text_never_panics(text in "[a-z0-9,;\t\"'\r\n.=@|µ-]{0,200}", file in 0..12_usize) {
        let name = FILES[file % FILES.len()];
        let mut bytes = ReadingCase::new().files.get(name).cloned().unwrap_or_default();
        bytes.extend(text.bytes());
        ReadingCase::new().with(name, bytes).skipping().read();
    }

    #[test]
    fn random_edits_of_cells_never_panic(
        edits in proptest::collection::vec((any::<prop::sample::Index>(), any::<prop::sample::Index>(), any::<prop::sample::Index>()), 1..6),
        skip in any::<bool>(),
    ) {
        let mut case = ReadingCase::settings("budget = 100\n[tank]\nlid = \"plate-silicone\"\n[defaults]\nposture = \"any\"\n")
            .with("specimens.csv", WIDE_SURVEY).with("vessels.csv", WIDE_STOCK);
        case.skip_bad_rows = skip;
        for (file, place, cell) in edits {
            let names: Vec<String> = case.files.keys().cloned().collect();
            let bytes = case.files.get_mut(&names[file.index(names.len())]).unwrap();
            let mut cells: Vec<Vec<u8>> = bytes.split(|b| *b == b',').map(<[u8]>::to_vec).collect();
            let at = place.index(cells.len());
            cells[at] = CELLS[cell.index(CELLS.len())].as_bytes().to_vec();
            *bytes = cells.join(&b',');
        }
        let reading = case.read();
        if let Some(project) = reading.project {
            // Values that pass are valid for computation.
            for vessel in &project.stock.vessels {
                prop_assert!(vessel.brimful.ml() > 0.0 && vessel.inner_height.mm() > 0.0);
            }
            for specimen in &project.collection.specimens {
                if let Size::Measured(envelope) = specimen.size {
                    prop_assert!(envelope.volume().ml() > 0.0);
                }
            }
        }
        for diagnostic in &reading.diagnostics {
            prop_assert!(!diagnostic.message.is_empty() && diagnostic.cure.is_some());
        }
    }
}

const FILES: [&str; 11] = [
    "specimens.csv",
    "vessels.csv",
    "suppliers.csv",
    "fluid-stock.csv",
    "settings.toml",
    "rules/fluids.csv",
    "rules/materials.csv",
    "rules/closures.csv",
    "rules/compatibility.csv",
    "rules/neck-finishes.csv",
    "rules/transfers.csv",
];

const WIDE_SURVEY: &str = "catalogNumber,part,length_mm,width_mm,height_mm,fluid,mass_g,tissue_ml,must_use,posture,current_vessel,\
    individualCount,tank_quote\nA-1,,100,20,30,ethanol-70,12,,J-1,any,J-1,2,10\nA-2,,,,,unknown,,,@tank,coil,J-1,1,\n";

const WIDE_STOCK: &str = "vessel,form,inner_diameter_mm,inner_length_mm,inner_width_mm,inner_height_mm,body_height_mm,\
    mouth_diameter_mm,neck_finish,capacity_ml,material,closure,on_hand,unit_price,pack_size,order_limit\n\
    J-1,cylinder,80,,,150,140,60,70-400,750,soda-lime,pp-cap,3,2.5,12,120\n\
    J-1,,,,,,,,,,,,,2.2,24,\n\
    B-1,rectangular,,100,80,200,,,,,acrylic,pp-cap,,,,\n";

const CELLS: [&str; 26] = [
    "",
    "0",
    "-1",
    "1e9",
    "99999",
    "0.0001",
    "1.234",
    "\"1,234\"",
    "NaN",
    "12 cm",
    "3 oz",
    "'=1",
    "\"",
    "\"\"",
    "J-1",
    "@tank",
    "|",
    "ethanol-70",
    "alcohol",
    "1000000000",
    "4294967296",
    "A-1",
    "\n",
    "\u{feff}",
    "鰻",
    "\"a\nb\"",
];
