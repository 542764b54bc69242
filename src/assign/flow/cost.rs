//! Money and then fluid as one number, so that the better of two plans is the one that costs less.

use crate::assign::evaluate;
use crate::decision::{Class, Question};
use crate::units::{Millilitres, Money};

/// How money and fluid make a cost: money times a number of steps, and fluid.
#[derive(Clone, Copy)]
pub struct Cost {
    /// A power of two, as the weights of leaves are.
    steps: i128,
    /// Fluid that no plan passes, in millilitres; nothing where fluid does not count.
    most_fluid: i128,
    /// The money of every plan is a multiple of it, in parts.
    unit: i128,
}

/// How many times all fluid the least amount of money outweighs, where it is so many parts. Prices of pieces are made of both:
/// what fluid adds to them may not reach what money turns on.
const OUTWEIGHS: i128 = 64;

impl Cost {
    /// Money alone counts.
    pub const OF_MONEY: Cost = Cost { steps: 1, most_fluid: 0, unit: 1 };

    /// Weighed money, then fluid: money that differs at all far outweighs all fluid.
    pub fn money_then_fluid(question: &Question) -> Self {
        let (most_fluid, unit) = (most_fluid(question), i128::from(evaluate::weighed_unit(question)));
        let enough = most_fluid / (unit / OUTWEIGHS).max(1);
        Cost { steps: 1 << (i128::BITS - enough.leading_zeros()), most_fluid, unit }
    }

    /// The money of every plan is a multiple of it, in parts.
    pub fn unit(&self) -> i128 {
        self.unit
    }

    /// What money and fluid cost together.
    pub fn of(&self, money: Money, fluid: Millilitres) -> i128 {
        let fluid = if self.most_fluid > 0 { i128::from(fluid.0) } else { 0 };
        self.of_money(money) + fluid
    }

    /// What money costs alone.
    pub fn of_money(&self, money: Money) -> i128 {
        i128::from(money.parts()) * self.steps
    }

    /// The money of a plan that costs so much, and the least of any that costs no less, in parts.
    pub fn money(&self, cost: i128) -> i128 {
        let step = self.steps * self.unit;
        let beyond = cost - self.most_fluid;
        (beyond.div_euclid(step) + i128::from(beyond.rem_euclid(step) > 0)) * self.unit
    }
}

fn most_fluid(question: &Question) -> i128 {
    let most_of = |class: &Class| class.choices.iter().map(|choice| choice.fluid.0).max().unwrap_or(0);
    let of_class = |class: &Class| {
        let most = most_of(class);
        class.members.iter().map(|member| i128::from((most + member.fluid.0).max(0))).sum::<i128>()
    };
    question.classes.iter().map(of_class).sum()
}
