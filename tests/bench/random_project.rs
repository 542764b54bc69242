//! Draws a small project with every feature from a seed: 10 to 60 rows, 5 to 25 vessels in packs, suppliers with minimum orders
//! and free delivery, budgets, fluid on the shelf, limits on vessel types and suppliers, spares, tanks.

use std::f64::consts::FRAC_PI_4;

use crate::synthetic_collection::Random;

const FLUIDS: [&str; 4] = ["ethanol-70", "ethanol-96", "formalin-10", "nbf-10"];

/// Values that are drawn before the files are written.
struct Drawing {
    random: Random,
    fluids: Vec<&'static str>,
    suppliers: u64,
    /// Bore and height of each vessel.
    sizes: Vec<(f64, f64)>,
    /// Factor on the prices of vessels and on suppliers' terms; prices of fluid do not have it.
    dearness: f64,
    /// Whether every vessel is sold in packs.
    packs: bool,
}

/// The files of a project; the same seed gives the same files.
pub fn files(seed: u64) -> Vec<(&'static str, String)> {
    let mut random = Random(seed);
    let (rows, vessels) = (10 + random.below(51), 5 + random.below(21));
    let first = random.below(FLUIDS.len() as u64) as usize;
    let fluids = FLUIDS.into_iter().cycle().skip(first).take(1 + random.below(4) as usize).collect();
    let narrow = random.below(3) == 0;
    let size = |random: &mut Random| {
        let along = random.between(0.0, 1.0);
        let bore = if narrow { 50.0 + 50.0 * along } else { 22.0 + 140.0 * along * along };
        (bore, bore * random.between(0.9, 2.0))
    };
    let sizes = (0..vessels).map(|_| size(&mut random)).collect();
    let suppliers = 1 + random.below(6);
    let dearness = random.one_of(&[0.3, 1.0, 1.0, 4.0]);
    let packs = random.below(3) == 0;
    let mut drawing = Drawing { random, fluids, suppliers, sizes, dearness, packs };
    let mut files = vec![
        ("vessels.csv", drawing.vessels()),
        ("specimens.csv", drawing.specimens(rows)),
        ("suppliers.csv", drawing.terms()),
        ("settings.toml", drawing.settings(rows)),
    ];
    if drawing.random.below(2) == 0 {
        files.push(("fluid-stock.csv", drawing.fluid_stock()));
    }
    files
}

impl Drawing {
    /// True with this probability in per cent.
    fn chance(&mut self, pct: u64) -> bool {
        self.random.below(100) < pct
    }

    /// A cell that is filled with this probability in per cent, and blank otherwise.
    fn maybe(&mut self, pct: u64, cell: impl FnOnce(&mut Random) -> String) -> String {
        if self.chance(pct) { cell(&mut self.random) } else { String::new() }
    }

    /// Typical price of a piece.
    fn piece(&self, (bore, _): (f64, f64)) -> f64 {
        self.dearness * (0.4 + (bore / 40.0) * (bore / 40.0).sqrt())
    }

    fn vessels(&mut self) -> String {
        let mut text =
            "vessel,form,inner_diameter_mm,inner_length_mm,inner_width_mm,inner_height_mm,material,closure,on_hand,\
                        reserve,supplier,pack_price,pack_size,min_packs,order_limit\n"
                .to_owned();
        for (vessel, (bore, height)) in self.sizes.clone().into_iter().enumerate() {
            let section = match self.chance(25) {
                true => format!("rectangular,,{bore:.1},{:.1}", bore * self.random.between(0.6, 1.0)),
                false => format!("cylinder,{bore:.1},,"),
            };
            let material = self.random.one_of(&["borosilicate", "soda-lime", "polypropylene"]);
            let closure = self.random.one_of(&["pp-cap-ptfe", "ground-glass-stopper", "pp-cap-foamed-pe"]);
            let body = format!("V-{vessel},{section},{height:.1},{material},{closure}");
            let on_hand = self.random.one_of(&["", "", "1", "2", "5", "12"]);
            let reserve = self.maybe(10, |random| random.one_of(&["1", "2"]).to_owned());
            let offers = if on_hand.is_empty() { 1 + self.random.below(3) } else { self.random.below(3) };
            if offers == 0 {
                text += &format!("{body},{on_hand},{reserve},,,,,\n");
            }
            for offer in 0..offers {
                let stock = if offer == 0 { format!("{on_hand},{reserve}") } else { ",".to_owned() };
                text += &format!("{body},{stock},{}\n", self.offer((bore, height)));
            }
        }
        text
    }

    /// Columns of an offer: supplier, pack price, pack size, fewest packs and most pieces.
    fn offer(&mut self, size: (f64, f64)) -> String {
        let supplier = match self.chance(10) {
            true => String::new(),
            false => format!("S-{}", self.random.below(self.suppliers)),
        };
        let pack = match self.packs {
            true => self.random.one_of(&[2, 3, 4, 6, 8, 12]),
            false => self.random.one_of(&[1, 1, 1, 2, 3, 6, 12]),
        };
        // A piece costs less in a larger pack.
        let price = f64::from(pack) * self.piece(size) * self.random.between(0.6, 1.5) / (1.0 + f64::from(pack) / 30.0);
        let least = self.maybe(20, |random| random.one_of(&["2", "3", "5"]).to_owned());
        let most = self.maybe(20, |random| random.one_of(&["0", "2", "4", "8", "25"]).to_owned());
        let places = self.random.one_of(&[0, 2, 2, 4]);
        format!("{supplier},{price:.places$},{pack},{least},{most}")
    }

    fn specimens(&mut self, rows: u64) -> String {
        let mut text =
            "catalogNumber,length_mm,width_mm,height_mm,posture,outline,fluid,tissue_ml,individualCount,max_vessels,\
                        must_use,must_not_use,tank_quote,current_fluid,priority\n"
                .to_owned();
        let mut row = 0;
        while row < rows {
            let specimen = self.specimen();
            // Some specimens occur in several rows that differ only in name and priority.
            for _ in 0..self.random.one_of(&[1, 1, 1, 2, 4]).min(rows - row) {
                let priority = self.random.one_of(&["", "1", "2", "3", "4"]);
                text += &format!("R-{row},{specimen},{priority}\n");
                row += 1;
            }
        }
        text
    }

    /// The cells of a row between its name and its priority. The specimen is smaller than the inside of at least one vessel.
    fn specimen(&mut self) -> String {
        let (bore, height) = self.random.one_of(&self.sizes);
        let (across, tall) = (bore * self.random.between(0.35, 0.8), height * self.random.between(0.3, 0.75));
        let (length, width) = (across.max(tall), across.min(tall));
        let deep = width * self.random.between(0.4, 1.0);
        let pieces = self.random.one_of(&[1, 1, 1, 1, 3, 5]);
        let envelopes = length * width * deep / 1000.0 * f64::from(pieces);
        let posture = self.random.one_of(&["any", "either", "upright", "as-set"]);
        let outline = self.random.one_of(&["box", "rounded"]);
        let fluid = self.random.one_of(&self.fluids);
        let tissue = envelopes * FRAC_PI_4 * self.random.between(0.3, 0.6);
        let divided =
            if pieces > 1 { self.maybe(60, |random| (2 + random.below(3)).to_string()) } else { String::new() };
        let vessels = self.sizes.len() as u64;
        let some = move |random: &mut Random| {
            let two = [random.below(vessels), random.below(vessels)];
            if two[0] == two[1] { format!("V-{}", two[0]) } else { format!("V-{}|V-{}", two[0], two[1]) }
        };
        let (must, not) = match self.random.below(20) {
            0 => (some(&mut self.random), String::new()),
            1 => (String::new(), some(&mut self.random)),
            _ => Default::default(),
        };
        let quote = self.maybe(10, |random| format!("{:.2}", random.between(5.0, 120.0)));
        let current = self.maybe(5, |_| fluid.to_owned());
        format!(
            "{length:.1},{width:.1},{deep:.1},{posture},{outline},{fluid},{tissue:.1},{pieces},{divided},{must},{not},{quote},{current}"
        )
    }

    fn terms(&mut self) -> String {
        let mut text = "supplier,delivery_charge,free_delivery_over,minimum_order\n".to_owned();
        for supplier in 0..self.suppliers {
            let scale = self.dearness;
            let charge = self.maybe(85, |random| format!("{:.2}", scale * random.between(1.0, 35.0)));
            let free = self.maybe(50, |random| format!("{:.2}", scale * random.between(0.0, 180.0)));
            let least = self.maybe(50, |random| format!("{:.2}", scale * random.between(0.0, 90.0)));
            text += &format!("S-{supplier},{charge},{free},{least}\n");
        }
        text
    }

    fn settings(&mut self, rows: u64) -> String {
        let mean = self.sizes.iter().map(|&size| self.piece(size)).sum::<f64>() / self.sizes.len() as f64;
        let whole = rows as f64 * mean;
        let lines = [
            self.maybe(50, |random| format!("budget = {:.2}\n", whole * random.one_of(&[0.1, 0.3, 0.6, 1.0, 1.5]))),
            self.maybe(40, |random| format!("litre_weight = {}\n", random.one_of(&["0.2", "0.3333", "1", "5"]))),
            self.maybe(25, |random| format!("max_vessel_types = {}\n", 1 + random.below(4))),
            self.maybe(25, |random| format!("max_suppliers = {}\n", 1 + random.below(3))),
            self.maybe(35, |random| format!("spare_pct = {}\n", random.one_of(&[5, 10, 20, 50]))),
            self.maybe(15, |_| "tanks = \"when cheaper\"\n".to_owned()),
            self.maybe(10, |_| {
                "labour_in_budget = true\n[labour]\nminutes_per_move = 10\nrate_per_hour = 7.77\n".to_owned()
            }),
        ];
        let prices = FLUIDS.map(|fluid| {
            format!("{fluid} = {}\n", self.random.one_of(&["0", "0.5", "1.1", "2.0001", "3.8", "7.3333"]))
        });
        format!("{}[fluid_price]\n{}", lines.concat(), prices.concat())
    }

    fn fluid_stock(&mut self) -> String {
        let lines: String = (self.fluids.clone().iter())
            .map(|fluid| format!("{fluid},{}\n", self.random.one_of(&["0.05", "0.5", "1.476", "3", "10", "40"])))
            .collect();
        format!("fluid,litres\n{lines}")
    }
}
