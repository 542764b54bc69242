//! Compares stated values with derived ones: the one place where a difference becomes a [`Finding`].

use std::fmt::Display;

use super::Finding;
use super::exact::Exact;
use crate::units::{Length, Money, decimal};

/// The findings so far, and the placement that is being checked.
#[derive(Default)]
pub(super) struct Claims {
    /// The placement that is being checked, if one is.
    placement: Option<usize>,
    pub(super) findings: Vec<Finding>,
}

impl Claims {
    /// For the claims of one placement.
    pub(super) fn of_placement(placement: usize) -> Self {
        Self { placement: Some(placement), findings: Vec::new() }
    }

    /// Notes a claim that does not hold.
    pub(super) fn refute(&mut self, claim: impl Display, stated: impl Display, derived: impl Display) {
        let (claim, stated, derived) = (claim.to_string(), stated.to_string(), derived.to_string());
        self.findings.push(Finding { placement: self.placement, claim, stated, derived });
    }

    /// Notes a claim that is not the derived value.
    pub(super) fn same<T: PartialEq + Display>(&mut self, claim: impl Display, stated: T, derived: T) {
        if stated != derived {
            self.refute(claim, stated, derived);
        }
    }

    /// The same for values that may be absent: they are compared as text.
    pub(super) fn shown<T: PartialEq>(
        &mut self,
        claim: impl Display,
        stated: Option<T>,
        derived: Option<T>,
        show: impl Fn(&T) -> String,
    ) {
        if stated == derived {
            return;
        }
        let show = |value: Option<T>| value.as_ref().map_or_else(|| "nothing".to_owned(), &show);
        let (stated, derived) = (show(stated), show(derived));
        if stated != derived {
            self.refute(claim, stated, derived);
        }
    }

    /// Facts agree when they are equal, whatever their words.
    pub(super) fn fact<T: PartialEq>(
        &mut self,
        claim: impl Display,
        stated: Option<&T>,
        derived: Option<&T>,
        words: impl Fn(&T) -> String,
    ) {
        if stated == derived {
            return;
        }
        let said = |fact: Option<&T>| fact.map_or_else(|| "nothing".to_owned(), &words);
        if said(stated) == said(derived) {
            let derived = "the same words with other figures behind them";
            self.refute(claim, said(stated), derived);
        } else {
            self.refute(claim, said(stated), said(derived));
        }
    }

    /// Lengths agree when they print the same in a plan's file.
    pub(super) fn length(&mut self, claim: impl Display, stated: Option<Length>, derived: Option<Length>) {
        self.shown(claim, stated, derived, |length| decimal(length.mm(), 3));
    }

    /// Ratios and years agree when they print the same in a plan's file, shown at `scale`.
    pub(super) fn number(&mut self, claim: impl Display, stated: Option<f64>, derived: Option<f64>, scale: f64) {
        self.shown(claim, stated, derived, |number| decimal(number * scale, 3));
    }

    /// Money agrees when it is the same rounded to four places.
    pub(super) fn money(&mut self, claim: impl Display, stated: Money, derived: Exact) {
        if Exact::from(stated) != derived && Exact::from(stated).text() != derived.text() {
            self.refute(claim, stated.text(), derived.text());
        }
    }

    /// Notes a difference in whole millilitres, printed in litres.
    pub(super) fn litres(&mut self, claim: impl Display, stated: i128, derived: i128) {
        if stated != derived {
            let litres = |ml: i128| format!("{} l", decimal(ml as f64 / 1000.0, 3));
            self.refute(claim, litres(stated), litres(derived));
        }
    }

    /// Notes a value above its limit.
    pub(super) fn at_most<T: PartialOrd + Display>(&mut self, claim: impl Display, stated: T, most: T) {
        if stated > most {
            self.refute(claim, stated, format!("at most {most}"));
        }
    }

    /// Notes a value below its limit.
    pub(super) fn at_least<T: PartialOrd + Display>(&mut self, claim: impl Display, stated: T, least: T) {
        if stated < least {
            self.refute(claim, stated, format!("at least {least}"));
        }
    }
}
