//! What differs between two plans: for a terminal, as CSV, as JSON and as a printed page.

mod json;
mod page;

use super::columns::comparison::{
    ComparedLine, FluidRow, InputRow, KindRow, LotRow, MoneyRow, OrderRow, fluids, inputs, kinds, lots, orders,
};
use super::summary;
use super::table::csv::{head, lines};
use super::table::terminal::spared;
use super::table::{Table, cells};
use super::work;
use super::wrapping::wrapped;
use crate::comparison::{ChangeKind, Comparison, End, MoneyChange};
use crate::words;

/// Rows of a table that a screen and a page show; CSV and JSON have all.
const SHOWN: usize = 100;

/// A comparison with what is told beside it.
pub struct Compared<'a> {
    /// The comparison.
    pub comparison: &'a Comparison<'a>,
    /// What the user calls the old plan and the new one.
    pub names: [&'a str; 2],
    /// Versions of the program that wrote the two plans, where it was not this one: their papers were not compared.
    pub versions: [Option<&'a str>; 2],
}

impl Compared<'_> {
    /// For a terminal.
    pub fn text(&self) -> String {
        let [old, new] = self.names;
        let mut text = left_out(self);
        text.push_str(&wrapped(&format!("Old plan: {old}. New plan: {new}."), 0));
        self.notes().iter().for_each(|note| text.push_str(&wrapped(&format!("Note: {note}"), 0)));
        if self.comparison.is_empty() {
            let lots = self.comparison.lots.len();
            text.push_str(&format!("\nNothing differs: {} in the same places.\n", words::counted(lots, "lot", "lots")));
            return text;
        }
        let tables = [self.money(), self.kinds(), self.orders(), self.fluids(), self.inputs()];
        tables.iter().for_each(|table| text.push_str(&table.text(REST)));
        for kind in ChangeKind::ALL.into_iter().filter(|kind| *kind != ChangeKind::Unchanged) {
            text.push_str(&self.lots(kind).text(REST));
        }
        text.push_str(&format!("\n{}", wrapped(&self.headline(), 0)));
        text
    }

    /// The money and the lots in one sentence.
    fn headline(&self) -> String {
        let comparison = self.comparison;
        let [old, new] = [comparison.old, comparison.new].map(|side| &side.plan.totals);
        let all = comparison.lots.len();
        let same = comparison.lots_of(ChangeKind::Unchanged).count();
        let currency = comparison.currency();
        let currency = if currency.is_empty() { String::new() } else { format!(" {currency}") };
        format!(
            "In short: {} of {} changed; placed {} → {}; cost {} → {}{currency}; fluid {} → {} l; work {} → {} h.",
            all - same,
            words::counted(all, "lot", "lots"),
            old.placed,
            new.placed,
            old.money.on_screen(),
            new.money.on_screen(),
            old.litres.litres(),
            new.litres.litres(),
            work::hours(old.minutes as f64),
            work::hours(new.minutes as f64),
        )
    }

    /// What to know first.
    fn notes(&self) -> Vec<String> {
        let of_versions = self.versions.iter().zip(["old", "new"]).filter_map(|(version, plan)| {
            let version = (*version)?;
            Some(format!(
                "the {plan} plan was written by rehouse {version}: its figures were recalculated, its papers were not \
                 compared; plan it again with this version to compare them"
            ))
        });
        let notes = self.comparison.notes.iter().map(|note| words::comparison::note(note).into_owned());
        of_versions.chain(notes).collect()
    }

    /// Lines of money that are used, with the sums among them.
    fn money_rows(&self) -> impl Iterator<Item = MoneyRow<'_>> {
        let used = |change: &&MoneyChange| change.line.is_sum() || change.is_used();
        self.comparison.money.iter().filter(used).map(|change| MoneyRow { change })
    }

    fn money(&self) -> Table<'_> {
        let fields = [MoneyRow::LINE, MoneyRow::OLD, MoneyRow::NEW, MoneyRow::DIFFERENCE];
        Table::of("Money", &fields, self.money_rows()).in_currency(self.comparison.currency())
    }

    fn kinds(&self) -> Table<'_> {
        let some = kinds(self.comparison).into_iter().filter(|row| row.lots > 0);
        let mut table = Table::of("Lots by kind of change", &[KindRow::KIND, KindRow::LOTS], some);
        table.row(["all lots of both surveys".into(), self.comparison.lots.len().into()]);
        table
    }

    fn orders(&self) -> Table<'_> {
        let fields = [
            OrderRow::SUPPLIER,
            OrderRow::CODE.spared(spared::ORDER_CODE),
            OrderRow::WHAT,
            OrderRow::CHANGE,
            OrderRow::PACKS,
            OrderRow::MONEY.headed("money"),
        ];
        Table::of_first(SHOWN, "Order lines that differ", &fields, orders(self.comparison))
            .in_currency(self.comparison.currency())
    }

    fn fluids(&self) -> Table<'_> {
        let fields = [
            FluidRow::FLUID,
            FluidRow::USE,
            FluidRow::OLD.headed("old, l"),
            FluidRow::NEW.headed("new, l"),
            FluidRow::DIFFERENCE,
        ];
        Table::of_first(SHOWN, "Fluid that differs", &fields, fluids(self.comparison))
    }

    fn inputs(&self) -> Table<'_> {
        let fields = [InputRow::FILE, InputRow::ENTRY, InputRow::OLD, InputRow::NEW];
        Table::of_first(SHOWN, "Inputs that differ, beside the survey", &fields, inputs(self.comparison))
    }

    fn lots(&self, kind: ChangeKind) -> Table<'_> {
        let fields: &[_] = match kind {
            ChangeKind::NewInSurvey => &[LotRow::LOT, LotRow::PLACES.headed("new")],
            ChangeKind::GoneFromSurvey => &[LotRow::LOT, LotRow::PLACES.headed("old")],
            ChangeKind::RowOnly => &[LotRow::LOT, LotRow::PLACES.headed("place"), LotRow::WHY],
            _ => &[LotRow::LOT, LotRow::PLACES, LotRow::WHY],
        };
        let title = format!("{} ({})", words::comparison::kind(kind), self.comparison.lots_of(kind).count());
        Table::of_first(SHOWN, title, fields, lots(self.comparison, kind))
    }

    /// Every amount, order line, fluid, input and lot as CSV, those that are the same included.
    pub fn csv(&self) -> Vec<u8> {
        let columns = ComparedLine::FILE.map(|field| field.column);
        let mut bytes = head(&columns, &skipped(self));
        let rows = ComparedLine::all(self.comparison).map(|line| cells(&ComparedLine::FILE, line));
        bytes.append(&mut lines(&columns, rows));
        bytes
    }

    /// The same for a program.
    pub fn json(&self) -> String {
        json::json(self)
    }

    /// A page to print.
    pub fn page(&self) -> Vec<u8> {
        page::page(self)
    }
}

const REST: &str = "`rehouse compare OLD NEW --format csv` has all";

/// Input rows that were left out of the plans.
fn left_out(compared: &Compared) -> String {
    summary::skipped(&skipped(compared))
}

fn skipped(compared: &Compared) -> Vec<String> {
    let of = |end: End| {
        let name = if end == End::Old { "old" } else { "new" };
        compared.comparison.at(end).plan.skipped_rows.iter().map(move |row| format!("{name}: {row}"))
    };
    of(End::Old).chain(of(End::New)).collect()
}
