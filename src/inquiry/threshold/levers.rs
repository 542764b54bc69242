//! The levers that may change the place of a lot, and the values that each takes.

use std::collections::BTreeMap;

use super::{Lever, LeverValue, LeverValues, LotMeasure, MONEY_STEP, Way};
use crate::collection::{Size, VesselChoice};
use crate::decision::Decision;
use crate::inquiry::instead::{Housing, elsewhere};
use crate::inquiry::{Inquiry, Watch, WhatIf};
use crate::options::table::Row;
use crate::rules::clearance::own_or_wall;
use crate::stock::VesselId;
use crate::units::{Length, Money, Packs, index};

/// Most years to keep that are tried.
const MOST_YEARS: f64 = 100.0;
/// Most free pieces that are added.
const MOST_PIECES: i64 = 20;
/// Other vessels whose free pieces are tried, the cheapest by itself first.
const OTHER_VESSELS: usize = 2;
/// How many of these are tried at other prices.
const OTHER_PRICES: usize = 1;
/// A price is raised to at most so many times itself.
const TIMES_PRICE: i64 = 20;

/// A lot in the plan as it is.
pub(super) struct LotNow<'a> {
    pub(super) inquiry: &'a Inquiry<'a>,
    pub(super) row: usize,
    pub(super) plan: &'a Decision,
    pub(super) goes: Housing,
    /// Where every lot goes.
    pub(super) now: BTreeMap<usize, Housing>,
    /// The budgets at which the plan changes, where all are known.
    pub(super) budget_steps: Option<Vec<Money>>,
}

impl LotNow<'_> {
    /// The levers that may change its place, each in one direction.
    pub(super) fn grids(&self) -> Vec<LeverValues> {
        let project = self.inquiry.project();
        let specimen = &project.collection.specimens[self.row];
        let Row::Judged(judged) = &self.inquiry.rows()[self.row] else { return Vec::new() };
        let mut grids = Vec::new();
        let decided = !judged.fits.is_empty() || judged.tank.as_ref().is_ok_and(|tank| tank.cost.is_some());
        if decided {
            grids.extend(self.money());
        }
        let near = judged.near_miss.as_ref().map(|near| near.0);
        let vessel = self.vessel().or(near);
        let wall = vessel.map_or(project.settings.wall_max, |id| {
            let inner = project.stock.vessel(id).section.smaller();
            own_or_wall(&project.settings, specimen.particulars.clearance, inner)
        });
        let length = |mm: f64| LeverValue::Length(Length::at_least_zero(mm));
        grids.push(LeverValues::to(Lever::Clearance, Way::Less, LeverValue::Length(wall), length(0.0)));
        let years = LeverValue::Years(specimen.keep_years);
        grids.push(LeverValues::to(Lever::KeepYears, Way::Less, years, LeverValue::Years(1.0)));
        grids.push(LeverValues::to(Lever::KeepYears, Way::More, years, LeverValue::Years(MOST_YEARS)));
        if let Size::Measured(mut envelope) = specimen.size {
            for measure in LotMeasure::ALL {
                let side = *measure.of(&mut envelope);
                let lever = Lever::Measure(measure);
                grids.push(LeverValues::to(lever, Way::Less, LeverValue::Length(side), length(side.mm() / 2.0)));
                grids.push(LeverValues::to(lever, Way::More, LeverValue::Length(side), length(side.mm() * 2.0)));
            }
        }
        grids.retain(|grid| grid.last > 0);
        grids
    }

    /// The listed vessel that it goes into.
    fn vessel(&self) -> Option<VesselId> {
        if let Housing::In(VesselChoice::Listed(id)) = self.goes { Some(id) } else { None }
    }

    /// Budget, prices and pieces.
    fn money(&self) -> Vec<LeverValues> {
        let project = self.inquiry.project();
        let mut grids = Vec::new();
        if let Some(budget) = project.settings.budget {
            let now = LeverValue::Money(budget);
            grids.push(LeverValues::to(Lever::Budget, Way::More, now, LeverValue::Money(self.enough(budget))));
            grids.push(LeverValues::to(Lever::Budget, Way::Less, now, LeverValue::Money(Money::ZERO)));
        }
        if let Some(vessel) = self.vessel() {
            grids.extend(self.bought_offers(vessel).map(|offer| {
                let price = project.stock.offers[offer].pack_price;
                let most = (price + Money::whole(1)) * TIMES_PRICE;
                LeverValues::to(Lever::Price(offer), Way::More, LeverValue::Money(price), LeverValue::Money(most))
            }));
            let free = project.stock.vessel(vessel).free_pieces();
            grids.push(LeverValues::to(
                Lever::Pieces(vessel),
                Way::Less,
                LeverValue::Pieces(free),
                LeverValue::Pieces(0),
            ));
        }
        let others = elsewhere(self.inquiry, self.row, self.plan).into_iter().filter_map(|housing| match housing {
            Housing::In(VesselChoice::Listed(id)) => Some(id),
            Housing::In(VesselChoice::Tank) | Housing::Waits => None,
        });
        for (nth, vessel) in others.take(OTHER_VESSELS).enumerate() {
            let per_piece = |offer: &usize| {
                let offer = &project.stock.offers[*offer];
                offer.pack_price.parts() / i64::from(offer.pack_size.max(1))
            };
            let of_vessel = project.stock.offers_of(vessel).map(|(offer, _)| offer);
            if let Some(offer) = of_vessel.min_by_key(per_piece)
                && nth < OTHER_PRICES
            {
                let price = LeverValue::Money(project.stock.offers[offer].pack_price);
                grids.push(LeverValues::to(Lever::Price(offer), Way::Less, price, LeverValue::Money(Money::ZERO)));
            }
            let free = project.stock.vessel(vessel).free_pieces();
            let most = LeverValue::Pieces(free + MOST_PIECES);
            grids.push(LeverValues::to(Lever::Pieces(vessel), Way::More, LeverValue::Pieces(free), most));
        }
        grids
    }

    /// The money of the plan without a budget: more changes nothing.
    fn enough(&self, budget: Money) -> Money {
        let mut without = self.inquiry.branch();
        without.change(WhatIf::Budget(None));
        let decision = without.decide(&mut Watch { report: &mut |_| {}, stop: &|| false });
        budget.max(without.counted_money(&decision) + Money::from_parts(MONEY_STEP))
    }

    /// Offers of a vessel that the plan buys packs of.
    fn bought_offers(&self, vessel: VesselId) -> impl Iterator<Item = usize> {
        let supplies = self.inquiry.question.supplies.iter().zip(&self.plan.packs);
        let bought = supplies.filter(move |(supply, _)| supply.vessel == vessel).flat_map(|(supply, packs)| {
            let offers = supply.offers.iter().zip(packs);
            offers.filter(|(_, packs)| **packs > Packs::ZERO).map(|(terms, _)| index(terms.offer))
        });
        bought.collect::<Vec<_>>().into_iter()
    }
}
