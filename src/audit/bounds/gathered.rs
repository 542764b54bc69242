//! The lots of each group as the survey gives them: whether they are alike, and by how much each is dearer than the first.

use super::priced::PricedChoice;
use crate::decision::certificate::LotChoice;
use crate::stock::VesselId;

/// The lots of a group that the survey has given so far.
#[derive(Default)]
pub(super) struct Gathered {
    /// Priority and options of the first lot, which represents the others.
    pub(super) first: Option<(u8, PricedChoice)>,
    /// By row, the constant of the lot: its amounts less those of the first lot.
    pub(super) beyond: Vec<(u32, Vec<i64>)>,
    /// Whether some lot is not like the first.
    pub(super) unlike: bool,
}

impl Gathered {
    /// Adds a lot.
    pub(super) fn add(&mut self, row: usize, priority: u8, listed: PricedChoice) {
        let beyond = match &self.first {
            _ if listed.options.is_empty() => None,
            Some((of, first)) => (*of == priority).then(|| first.beyond(&listed)).flatten(),
            None => first_beyond(&listed),
        };
        match beyond {
            Some(beyond) => {
                self.beyond.push((u32::try_from(row).expect("a certificate names its rows in 32 bits"), beyond))
            }
            None => self.unlike = true,
        }
        self.first.get_or_insert((priority, listed));
    }

    /// Adds the lots from another share of the survey.
    pub(super) fn extend(&mut self, other: Self) {
        self.unlike |= other.unlike;
        let (Some((priority, first)), false) = (&self.first, other.beyond.is_empty()) else {
            if self.first.is_none() {
                let unlike = self.unlike;
                *self = other;
                self.unlike |= unlike;
            }
            return;
        };
        let Some((of, theirs)) = &other.first else { return };
        match first.beyond(theirs).filter(|_| of == priority) {
            Some(more) => {
                let added = |(row, beyond): (u32, Vec<i64>)| {
                    (row, beyond.iter().zip(&more).map(|(one, more)| one.saturating_add(*more)).collect())
                };
                self.beyond.extend(other.beyond.into_iter().map(added));
            }
            None => self.unlike = true,
        }
    }

    /// Index of a place among the options of the first lot.
    pub(super) fn place(&self, place: LotChoice, tank: VesselId) -> Option<usize> {
        let (_, first) = self.first.as_ref()?;
        let vessel = match place {
            LotChoice::Vessel(vessel) => vessel,
            LotChoice::Tank => tank,
            LotChoice::Waiting => return None,
        };
        first.options.iter().position(|option| option.vessel == vessel)
    }
}

fn first_beyond(listed: &PricedChoice) -> Option<Vec<i64>> {
    listed.beyond(listed)
}

impl PricedChoice {
    /// Amounts by which another lot exceeds this one, if both have the same options and every option gives the same difference.
    fn beyond(&self, other: &PricedChoice) -> Option<Vec<i64>> {
        if self.owned != other.owned || self.options != other.options || self.options.is_empty() {
            return None;
        }
        let less = |option: usize| {
            let amounts = other.amounts(option).iter().zip(self.amounts(option));
            amounts.map(|(other, own)| other.checked_sub(*own)).collect::<Option<Vec<i64>>>()
        };
        let beyond = less(0)?;
        (1..self.options.len()).all(|option| less(option).as_ref() == Some(&beyond)).then_some(beyond)
    }
}
