//! Inputs to begin with, and words that may stand in them. All invented.

use rehouse::intake::columns::{CellKind, FILES};
use rehouse::rules::{Family, TABLES};
use rehouse::settings::Settings;

use super::parts::{Files, joined};

const SURVEY: &str = "catalogNumber,part,length_mm,width_mm,height_mm,fluid,priority,posture,must_use,current_vessel,individualCount,mass_g,tissue_ml,hazard,hold,note\n\
    A-1,,100,20,30,ethanol-70,3,either,,J-1,1,12,,,,x\n\
    A-2,skin,9 cm,20,30,formalin-10,2,coil,J-1,,2,,8,toxic,,\"one, two\"\n\
    A-3,,,,,unknown,1,,@tank,J-2,1,,,,on display,\n";
const WIDE_SURVEY: &str = "catalogNumber;length (cm);width (cm);height (cm);fluid;current_fluid;current_strength_pct;current_fluid_ml;location;section_give_pct;outline;display;vessel_size_quote\n\
    B-1;10,5;2;3;ethanol-70;formalin-10;4;120,5;Bay 1;5;rounded;flat;\n\
    B-2;4;2;1,5;ethanol-70;ethanol-70;55;80;Bay 2;;box;;\n";
const STOCK: &str = "vessel,form,inner_diameter_mm,inner_length_mm,inner_width_mm,inner_height_mm,body_height_mm,mouth_diameter_mm,neck_finish,capacity_ml,material,closure,on_hand,on_order,reserve,pack_price,pack_size,min_packs,order_limit,supplier,order_code\n\
    J-1,cylinder,80,,,150,140,60,70-400,750,soda-lime,pp-cap-ptfe,3,,1,2.50,12,,120,Alder Glass,X1\n\
    J-1,,,,,,,,,,,,,,,2.2,24,,,,X2\n\
    J-2,cylinder,60,,,110,,,,,borosilicate,pp-cap-ptfe,1,2,,9,1,2,4,Birch Works,\n\
    B-1,rectangular,,100,80,200,,,,,borosilicate,plate-silicone,,,,,,,,,\n";
const SUPPLIERS: &str =
    "supplier,delivery_charge,free_delivery_over,minimum_order\nAlder Glass,7.50,60,5\nBirch Works,5,,14\n";
const FLUID_STOCK: &str = "fluid,litres,location\nethanol-70,0.4,Bay 1\nformalin-10,0.02,\n";
const SETTINGS: &str = "budget = 900\nlitre_weight = 0.0007\nspare_pct = 10\nmax_vessel_types = 3\nmax_suppliers = 2\nlabour_in_budget = true\n\
    reuse_fluid = \"top-up\"\n[labour]\nminutes_per_move = 20\nrate_per_hour = 18.5\n[fluid_price]\nethanol-70 = 4.1237\n[defaults]\nposture = \"either\"\n\
    [fluid]\nloss_pct = 4\ntax_pct = 12.5\n[tank]\nlid = \"plate-silicone\"\n[disposal_price]\nalcohol = 0.8\n[containers]\nethanol-70 = \"0.5=6.25|2.5=22\"\n";

/// Small tables of rules: the compiled-in ones take longer to read than all else.
const RULES: [(&str, &str); 7] = [
    (
        "rules/fluids.csv",
        "fluid,name,aliases,family,also_family,strength_pct,density_g_ml,growth_20_35_pct,flash_c,price_per_litre,present_only,hazard,source,note\n\
         ethanol-70,Ethanol 70 %,70% alcohol|alcohol 70%,alcohol,,70,0.8855,1.46,17,3.20,,flammable,,\n\
         formalin-10,Formalin 10 %,,formaldehyde,,4,1.01,0.5,,1.5,,toxic,,\nunknown,Not identified,,unknown,,,,,,,,,,\n",
    ),
    (
        "rules/materials.csv",
        "material,name,aliases,clear,glass,life_years,source,note\nsoda-lime,Soda-lime glass,,yes,yes,,,\n\
         borosilicate,Borosilicate glass,,yes,yes,,,\nacrylic,Acrylic,,yes,no,20,,\nsilicone-bonded-glass,Glass,,yes,yes,,,\n",
    ),
    (
        "rules/closures.csv",
        "closure,name,aliases,plate_sealed,renewal,renewal_years,life_years,source,note\n\
         pp-cap-ptfe,Cap,screw cap,no,liner,10,15,,\nplate-silicone,Plate,,yes,,,5,,\n",
    ),
    (
        "rules/compatibility.csv",
        "fluid,part,verdict,years,review,note,source\nalcohol,soda-lime,permanent,,,,\nalcohol,borosilicate,permanent,,,,\n\
         alcohol,pp-cap-ptfe,limited,15,,,\nalcohol,acrylic,unsuitable,,,,\nformalin-10,borosilicate,permanent,,,,\n",
    ),
    ("rules/neck-finishes.csv", "finish,bore_mm,thread_mm,height_mm,source\n70-400,61.4,69.7,14.1,\n"),
    (
        "rules/transfers.csv",
        "from,to,baths,days_per_bath,source,note\nformaldehyde,ethanol-70,ethanol-70|ethanol-70,7,,\n",
    ),
    (
        "rules/hazards.csv",
        "hazard,aliases,action,flammable,words,source\nflammable,,caution,yes,It burns,\ntoxic,poison,caution,no,It is poisonous,\n",
    ),
];

/// A small project with small tables of rules.
pub fn project() -> Files {
    let files = [("specimens.csv", SURVEY), ("vessels.csv", STOCK)];
    files.into_iter().chain(RULES).map(|(name, text)| (name.to_owned(), text.into())).collect()
}

/// Tables as text.
pub fn csv() -> Vec<Vec<u8>> {
    vec![
        joined([("specimens.csv", SURVEY), ("vessels.csv", STOCK)]),
        joined([("specimens.csv", WIDE_SURVEY), ("suppliers.csv", SUPPLIERS), ("vessels.csv", STOCK)]),
        joined([("fluid-stock.csv", FLUID_STOCK), ("specimens.csv", SURVEY)]),
        joined([
            ("!skip", ""),
            ("specimens.csv", "sep=\t\r\ncatalogNumber\tlength_mm\twidth_mm\theight_mm\tfluid\r\nA\t1\t2\t3\tgin\r\n"),
        ]),
    ]
}

/// Settings.
pub fn settings() -> Vec<Vec<u8>> {
    vec![SETTINGS.into(), Settings::default().to_toml().into_bytes()]
}

/// Tables of rules.
pub fn rules() -> Vec<Vec<u8>> {
    let first = |text: &str| text.lines().take(6).collect::<Vec<_>>().join("\n");
    let mut all: Vec<Vec<u8>> = RULES.iter().map(|(name, text)| joined([(name, text)])).collect();
    all.push(joined(RULES));
    all.extend(TABLES.iter().map(|(name, text)| joined([(format!("rules/{name}"), first(text))])));
    all
}

/// Whole projects, small enough to be planned in a moment.
pub fn projects() -> Vec<Vec<u8>> {
    let small = |text: &str, rows: usize| text.lines().take(1 + rows).collect::<Vec<_>>().join("\n");
    let plain = "catalogNumber,length_mm,width_mm,height_mm,fluid,current_fluid,location,tissue_ml\n\
        T-01,60,30,30,ethanol-70,formalin-10,Bay 1,40\nT-02,60,30,30,ethanol-70,ethanol-70,Bay 1,40\nT-03,300,90,120,formalin-10,ethanol-70,Bay 3,900\n";
    let divided = "catalogNumber,institutionCode,part,individualCount,max_vessels,length_mm,width_mm,height_mm,outline,fluid,priority\n\
        L-01,,,12,6,55,22,22,box,ethanol-70,3\nL-01,MUS,skin,6,3,55,22,22,box,ethanol-70,1\nL-02,,,1,1,60,25,25,rounded,ethanol-70,4\n";
    let rules: Vec<(&str, &str)> = RULES.to_vec();
    let with = |own: &[(&str, &str)]| joined(own.iter().copied().chain(rules.iter().copied()));
    vec![
        with(&[
            ("specimens.csv", SURVEY),
            ("vessels.csv", STOCK),
            ("suppliers.csv", SUPPLIERS),
            ("settings.toml", SETTINGS),
        ]),
        with(&[
            ("specimens.csv", plain),
            ("vessels.csv", STOCK),
            ("fluid-stock.csv", FLUID_STOCK),
            (
                "settings.toml",
                "reuse_fluid = \"top-up\"\nbudget = 20\n[priority]\nrule = \"weighted\"\nweights = [5, 3, 2, 1]\n",
            ),
        ]),
        with(&[("specimens.csv", divided), ("vessels.csv", STOCK)]),
        with(&[("specimens.csv", WIDE_SURVEY), ("vessels.csv", STOCK)]),
        joined([("specimens.csv", plain), ("vessels.csv", STOCK)]),
        joined([
            ("!skip", ""),
            ("specimens.csv", &small(divided, 2)),
            ("vessels.csv", &small(STOCK, 3)),
            ("settings.toml", SETTINGS),
        ]),
    ]
}

const SHEET: &str = "http://schemas.openxmlformats.org/spreadsheetml/2006/main";
const OFFICE: &str = "http://schemas.openxmlformats.org/officeDocument/2006/relationships";

/// A workbook of Office Open XML, part by part.
pub fn xlsx() -> Vec<Vec<u8>> {
    let types = "<Types xmlns=\"http://schemas.openxmlformats.org/package/2006/content-types\"><Default Extension=\"xml\" ContentType=\"application/xml\"/></Types>".to_owned();
    let relations = |of: &[(&str, &str)]| {
        let one = |(index, (kind, target)): (usize, &(&str, &str))| {
            format!("<Relationship Id=\"rId{}\" Type=\"{OFFICE}/{kind}\" Target=\"{target}\"/>", index + 1)
        };
        let all: String = of.iter().enumerate().map(one).collect();
        format!(
            "<Relationships xmlns=\"http://schemas.openxmlformats.org/package/2006/relationships\">{all}</Relationships>"
        )
    };
    let book = |sheets: &str| {
        format!(
            "<workbook xmlns=\"{SHEET}\" xmlns:r=\"{OFFICE}\"><workbookPr date1904=\"0\"/><sheets>\n{sheets}\n</sheets></workbook>"
        )
    };
    let head = "<row r=\"1\"><c r=\"A1\" t=\"s\"><v>0</v></c><c r=\"B1\" t=\"s\"><v>1</v></c><c r=\"C1\" t=\"inlineStr\"><is><t>width_mm</t></is></c>\
        <c r=\"D1\" t=\"str\"><v>height_mm</v></c><c r=\"E1\" t=\"s\"><v>2</v></c></row>";
    let rows = "<row r=\"2\"><c r=\"A2\" t=\"s\"><v>3</v></c><c r=\"B2\"><v>100</v></c><c r=\"C2\" s=\"1\"><v>0.07</v></c><c r=\"D2\"><f>10*2</f><v>20</v></c><c r=\"E2\" t=\"s\"><v>4</v></c></row>\n\
        <row r=\"3\"><c r=\"A3\" s=\"2\"><v>21245</v></c><c r=\"B3\" t=\"b\"><v>1</v></c><c r=\"C3\" t=\"e\"><v>#REF!</v></c><c r=\"D3\"><f>1+1</f></c><c r=\"E3\" t=\"d\"><v>1958-03-01</v></c></row>";
    let merged = "<mergeCells count=\"1\"><mergeCell ref=\"A3:B3\"/></mergeCells>";
    let sheet = |rows: &str| {
        format!(
            "<worksheet xmlns=\"{SHEET}\"><dimension ref=\"A1:E3\"/><sheetData>\n{rows}\n</sheetData>{merged}</worksheet>"
        )
    };
    let texts = format!(
        "<sst xmlns=\"{SHEET}\" count=\"5\" uniqueCount=\"5\"><si><t>catalogNumber</t></si><si><t>length_mm</t></si>\n\
        <si><r><t>flu</t></r><r><t>id</t></r></si><si><t xml:space=\"preserve\"> A1 </t></si><si><t>ethanol-70</t></si></sst>"
    );
    let styles = format!(
        "<styleSheet xmlns=\"{SHEET}\"><numFmts count=\"1\"><numFmt numFmtId=\"164\" formatCode=\"d mmm yyyy\"/></numFmts>\
        <cellXfs count=\"3\"><xf numFmtId=\"0\"/><xf numFmtId=\"9\"/><xf numFmtId=\"164\"/></cellXfs></styleSheet>"
    );
    let one = |sheets: &str, rows: &str| {
        joined([
            ("[Content_Types].xml", types.clone()),
            ("_rels/.rels", relations(&[("officeDocument", "xl/workbook.xml")])),
            ("xl/workbook.xml", book(sheets)),
            (
                "xl/_rels/workbook.xml.rels",
                relations(&[
                    ("worksheet", "worksheets/sheet1.xml"),
                    ("sharedStrings", "sharedStrings.xml"),
                    ("styles", "styles.xml"),
                ]),
            ),
            ("xl/sharedStrings.xml", texts.clone()),
            ("xl/styles.xml", styles.clone()),
            ("xl/worksheets/sheet1.xml", sheet(rows)),
        ])
    };
    vec![
        one("<sheet name=\"specimens\" sheetId=\"1\" r:id=\"rId1\"/>", &format!("{head}\n{rows}")),
        one(
            "<sheet name=\"Any\" sheetId=\"1\" r:id=\"rId1\"/><sheet name=\"b\" sheetId=\"2\" state=\"hidden\" r:id=\"rId1\"/>",
            head,
        ),
        [one("<sheet name=\"specimens\" sheetId=\"1\" r:id=\"rId1\"/>", head), b"\n=== !bytes\n\x10\x20\x30".to_vec()]
            .concat(),
    ]
}

/// A workbook of OpenDocument, part by part.
pub fn ods() -> Vec<Vec<u8>> {
    let text = |text: &str| {
        format!("<table:table-cell office:value-type=\"string\"><text:p>{text}</text:p></table:table-cell>")
    };
    let number = |kind: &str, value: &str| {
        format!(
            "<table:table-cell office:value-type=\"{kind}\" office:value=\"{value}\"><text:p>?</text:p></table:table-cell>"
        )
    };
    let row = |cells: &[String]| format!("<table:table-row>{}</table:table-row>\n", cells.concat());
    let head =
        row(&["catalogNumber", "length_mm", "width_mm", "height_mm", "fluid", "section_give_pct", "when"].map(text));
    let sound = row(&[
        text("A1"),
        number("float", "120.3"),
        number("float", "20"),
        text("2,5 cm"),
        text("ethanol<text:s text:c=\"2\"/>70"),
        number("percentage", "0.05"),
        "<table:table-cell office:value-type=\"date\" office:date-value=\"1958-03-01\"><text:p>?</text:p></table:table-cell>".to_owned(),
    ]);
    let odd = row(&[
        "<table:table-cell table:number-rows-spanned=\"1\" table:number-columns-spanned=\"2\" office:value-type=\"boolean\" office:boolean-value=\"true\"/><table:covered-table-cell/>".to_owned(),
        "<table:table-cell table:formula=\"of:=1/0\" office:value-type=\"string\" office:string-value=\"\"/>".to_owned(),
        "<table:table-cell table:number-columns-repeated=\"3\" office:value-type=\"time\" office:time-value=\"PT1H\"/>".to_owned(),
    ]);
    let end = "<table:table-row table:number-rows-repeated=\"1048000\"><table:table-cell table:number-columns-repeated=\"16384\"/></table:table-row>";
    let one = |rows: String| {
        let content = format!(
            "<?xml version=\"1.0\"?><office:document-content xmlns:office=\"urn:oasis:names:tc:opendocument:xmlns:office:1.0\" \
             xmlns:table=\"urn:oasis:names:tc:opendocument:xmlns:table:1.0\" xmlns:text=\"urn:oasis:names:tc:opendocument:xmlns:text:1.0\">\
             <office:body><office:spreadsheet><table:table table:name=\"specimens\">\n{rows}</table:table></office:spreadsheet></office:body></office:document-content>"
        );
        joined([
            (
                "META-INF/manifest.xml",
                "<manifest:manifest xmlns:manifest=\"urn:oasis:names:tc:opendocument:xmlns:manifest:1.0\"/>",
            ),
            ("content.xml", &content),
            ("mimetype", "application/vnd.oasis.opendocument.spreadsheet"),
        ])
    };
    vec![
        one(format!("{head}{sound}{odd}{end}")),
        one(format!("{head}{sound}")),
        [one(head), b"\n=== !bytes\n\x10\x20\x30".to_vec()].concat(),
    ]
}

/// What may stand in a cell, a setting or an attribute.
pub fn words() -> Vec<Vec<u8>> {
    const PLAIN: &str = "0 1 -1 1e9 99999 0.0001 1.234 1,234 NaN inf 12cm 3oz 5% 1/2 ½ 4294967296 9223372036854775807 18446744073709551615 1e308 1e-300 \
        yes no true false null any either coil upright flat box rounded cylinder rectangular @tank | = \" ' , ; # [ ] { } < > / \\ sep=; \
        A-1 J-1 J-2 B-1 ethanol-70 ethanol-96 formalin-10 nbf-10 glycerol-70 kaiserling-3 unknown alcohol oil water soda-lime borosilicate acrylic cork \
        pp-cap-ptfe plate-silicone epoxy-plate loose-cover limited permanent unsuitable unproven held caution flammable human display top-up \
        specimens.csv vessels.csv suppliers.csv fluid-stock.csv settings.toml specimens.xlsx !skip !bytes \
        table:number-columns-repeated=\"9\" table:number-rows-repeated=\"9\" text:c=\"9\" office:value-type=\"float\" office:value=\"5\" \
        t=\"s\" t=\"str\" t=\"inlineStr\" t=\"e\" t=\"b\" t=\"d\" s=\"1\" r=\"XFD1048576\" r=\"A1\" <v>1</v> <is><t>x</t></is> <f>1</f> &amp; &#0; <!-- --> <![CDATA[x]]> \
        status proved-best within-gap best-found not-optimised recomputed none";
    let mut words: Vec<Vec<u8>> = PLAIN.split_whitespace().map(|word| word.as_bytes().to_vec()).collect();
    words.extend(
        [
            "",
            " ",
            "\n",
            "\r\n",
            "\t",
            "\u{feff}",
            "鰻",
            "\"a\nb\"",
            "\u{202e}",
            "\u{1b}[31m",
            "\u{0}",
            "\n=== rules/fluids.csv\n",
        ]
        .map(|word| word.as_bytes().to_vec()),
    );
    for column in FILES.iter().flat_map(|file| file.columns) {
        words.push(column.name.into());
        words.extend(column.aliases.iter().map(|alias| alias.as_bytes().to_vec()));
        if let CellKind::Word(known) = column.kind {
            words.extend(known.iter().map(|word| word.as_bytes().to_vec()));
        }
    }
    words.extend(Settings::KEYS.iter().map(|key| key.as_bytes().to_vec()));
    words.extend(Family::NAMES.iter().map(|(name, _)| name.as_bytes().to_vec()));
    words.sort();
    words.dedup();
    words
}
