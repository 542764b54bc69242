//! `rehouse mix --top-up`: prints how to top up a vessel whose level has fallen.

use super::names::{stock, unmixable, volume};
use super::{refused, wanted};
use crate::cli::MixArguments;
use crate::commands::Failure;
use crate::fluid::evaporation::{after_evaporation, topped_up};
use crate::fluid::{Solution, mixing, pour_together};
use crate::report::mix::{self, Card, Repeated, ToppedUp};
use crate::rules::Rules;
use crate::units::{Temperature, Volume};

/// Numbers of top-ups after which the strength is printed.
const TIMES: [usize; 4] = [1, 5, 10, 20];

/// Makes the card.
pub(super) fn card(
    arguments: &MixArguments,
    rules: &Rules,
    to: &str,
    full: Volume,
    at: Temperature,
) -> Result<Card, Failure> {
    let left = volume("--left", arguments.left.as_deref().unwrap_or_default())?;
    if left >= full {
        let what = format!("--left {} is not less than --top-up", arguments.left.as_deref().unwrap_or_default());
        return refused(
            &what,
            "give the litres that it holds when full with --top-up, and those still in it with --left",
        );
    }
    let stock = stock(arguments, rules)?;
    let wanted = wanted(arguments, rules, to, stock)?;
    let lost = 1.0 - left.ml() / full.ml();
    let (present, measured) = match &arguments.measured {
        Some(typed) => (super::measured(stock.solute, typed)?, true),
        None => match after_evaporation(wanted, lost) {
            Some(present) => (present, false),
            None => {
                let what = format!("the strength of {} after evaporation is not known here", wanted.id());
                return refused(&what, "measure its strength and give it with --measured PERCENT");
            }
        },
    };
    let top_up = mixing::top_up(present, left, full, stock, wanted, at).map_err(unmixable)?;
    let (with, added) = (top_up.with, top_up.blend.added.volume);
    let water = Solution::water(stock.solute);
    let made = match with.by_mass > water.by_mass && with.by_mass < stock.by_mass {
        true => Some(mixing::blend(stock, water, with, added, at).map_err(unmixable)?),
        false => None,
    };
    let habit = pour_together(present, left, wanted, full.less(left), at).map_err(unmixable)?;
    let repeated = repeated(present, wanted, lost, with);
    Ok(mix::topping_up(&ToppedUp { wanted, present, measured, top_up, stock, made, habit, repeated }, at))
}

/// Strengths if the same loss and top-up are repeated; `None` if the evaporation of this fluid is not known.
fn repeated(present: Solution, wanted: Solution, lost: f64, with: Solution) -> Option<Repeated> {
    let most = TIMES[TIMES.len() - 1];
    let share = |share: f64| Volume::at_least_zero(1000.0 * share);
    let [habit, advised] = [wanted, with].map(|with| -> Option<Vec<Solution>> {
        let first = pour_together(present, share(1.0 - lost), with, share(lost), Temperature::STANDARD).ok()?.solution;
        let more = topped_up(first, lost, with, most - 1)?;
        Some(std::iter::once(first).chain(more).collect())
    });
    let (habit, advised) = (habit?, advised?);
    let after = TIMES.map(|times| (times, habit[times - 1].strength_pct(), advised[times - 1].strength_pct()));
    Some(Repeated { lost_pct: 100.0 * lost, after: after.into() })
}
