//! Why each row of the survey gets what it gets, in a sentence.

use std::sync::Arc;

use super::Outcome;
use super::waiting::LeftOver;
use crate::collection::{Specimen, VesselChoice};
use crate::options::judge::judge;
use crate::options::table::{Judged, nearness};
use crate::options::tank::{NoTank, TankOption};
use crate::project::Project;
use crate::words::tank::refusals;

/// For rows in listed vessels: by the number of vessels that serve them, each sentence made once.
pub struct InVessels {
    from_the_shelf: Vec<Arc<str>>,
    to_be_ordered: Vec<Arc<str>>,
}

impl InVessels {
    /// The sentences of a project.
    pub fn of(project: &Project) -> Self {
        let from = |from: &str| {
            let reason = |serve: usize| match serve {
                1 => format!("the only suitable vessel; {from}"),
                n => format!("least cost over the whole plan; {from}; {n} kinds of vessel are suitable"),
            };
            (0..=project.stock.vessels.len()).map(|serve| reason(serve).into()).collect()
        };
        InVessels { from_the_shelf: from("from the shelf"), to_be_ordered: from("to be ordered") }
    }

    /// For a row.
    pub fn reason(&self, judged: &Judged, outcome: Outcome) -> &Arc<str> {
        let reasons = if outcome == Outcome::OnHand { &self.from_the_shelf } else { &self.to_be_ordered };
        &reasons[judged.fits.len()]
    }
}

/// For a row in a tank made to measure.
pub fn in_tank(project: &Project, specimen: &Specimen, judged: &Judged) -> String {
    if specimen.particulars.must_use == [VesselChoice::Tank] {
        return "a custom tank is required".to_owned();
    }
    match (judged.fits.len(), near_miss(project, judged)) {
        (0, Some(miss)) => format!("no listed vessel is suitable; nearest {miss}"),
        (0, None) => "no listed vessel is suitable".to_owned(),
        (n, _) => format!("a custom tank gives the least cost over the whole plan; {n} kinds of vessel are suitable"),
    }
}

/// What somebody should look at before a tank is made, empty where nothing.
pub fn review_of_tank(tank: &TankOption) -> String {
    let unproven = tank.unproven.then(|| "unproven combination of fluid and vessel".to_owned());
    let loose = tank.loose_lid.then(|| "loose lid, no seal: review".to_owned());
    let marks = Some(tank.marks.words()).filter(|words| !words.is_empty());
    unproven.into_iter().chain(loose).chain(marks).collect::<Vec<_>>().join("; ")
}

/// For a row that waits.
pub fn deferred(left: &LeftOver, specimen: usize, judged: &Judged) -> String {
    let serve = match judged.fits.len() {
        0 => "a custom tank would be suitable".to_owned(),
        1 => "1 kind of vessel is suitable".to_owned(),
        n => format!("{n} kinds of vessel are suitable"),
    };
    format!("{}; {serve}", left.reason(specimen, judged))
}

/// For a row that nothing serves.
pub fn needs_decision(project: &Project, specimen: &Specimen, judged: &Judged, no_tank: Option<&NoTank>) -> String {
    if !specimen.particulars.must_use.is_empty() {
        return pinned(project, specimen, no_tank);
    }
    let nearest = near_miss(project, judged).map_or(String::new(), |miss| format!("; nearest {miss}"));
    match no_tank {
        Some(NoTank::TooSmall) => format!("no listed vessel is suitable; too small for a tank{nearest}"),
        Some(NoTank::NotMeasured) => format!("no listed vessel is as large as its present one: measure it{nearest}"),
        Some(NoTank::Refused(refusal)) => format!("no listed vessel is suitable, nor a tank: {refusal}{nearest}"),
        Some(NoTank::Beyond(beyond)) => {
            format!("no listed vessel is suitable, nor a glass tank: {}{nearest}", refusals::beyond(beyond))
        }
        None => format!("no listed vessel is suitable{nearest}"),
    }
}

/// All vessels a row is pinned to are refused: the pin that misses by least.
fn pinned(project: &Project, specimen: &Specimen, no_tank: Option<&NoTank>) -> String {
    let refusals = specimen.particulars.must_use.iter().filter_map(|choice| match *choice {
        VesselChoice::Listed(id) => judge(project, specimen, id).err().map(|refusal| (id, refusal)),
        VesselChoice::Tank => None,
    });
    match (refusals.min_by_key(|(id, refusal)| (nearness(refusal), *id)), no_tank) {
        (Some((id, refusal)), _) => format!("{} is required: {refusal}", project.stock.vessel(id).id),
        (None, Some(NoTank::TooSmall)) => "a custom tank is required: too small for a tank".to_owned(),
        (None, Some(NoTank::Refused(refusal))) => format!("a custom tank is required: {refusal}"),
        (None, Some(NoTank::Beyond(beyond))) => format!("a custom tank is required: {}", refusals::beyond(beyond)),
        (None, _) => "a custom tank is required: measure it first".to_owned(),
    }
}

/// `J-07: 6 mm too low`.
pub fn near_miss(project: &Project, judged: &Judged) -> Option<String> {
    let (id, refusal) = judged.near_miss.as_deref()?;
    Some(format!("{}: {refusal}", project.stock.vessel(*id).id))
}
