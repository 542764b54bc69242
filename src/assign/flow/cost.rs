//! Money and then fluid as one objective, the cost.
//!
//! Method: cost = money · M + fluid, with M a power of two so large that the least difference of money outweighs all
//! fluid (lexicographic minimisation by weights; common practice, no source). Money and fluid are whole numbers, so the plan of
//! least cost is the lexicographic optimum.

use crate::assign::evaluate;
use crate::decision::{Class, Question};
use crate::units::{Millilitres, Money};

/// The scale on which money and fluid are one cost.
#[derive(Clone, Copy)]
pub struct CostScale {
    /// M, the cost of a ten-millionth of money.
    per_part: i128,
    /// An upper bound on the millilitres of any plan; 0 if fluid does not count.
    most_fluid: i128,
    /// A divisor of the money of every plan, in ten-millionths.
    unit: i128,
}

/// The least difference of money outweighs this many times all fluid, if it is at least this many ten-millionths. The margin is
/// for dual prices, which mix money and fluid.
const MARGIN: i128 = 64;

impl CostScale {
    /// Cost = money.
    pub const OF_MONEY: CostScale = CostScale { per_part: 1, most_fluid: 0, unit: 1 };

    /// Weighed money, then fluid.
    pub fn money_then_fluid(question: &Question) -> Self {
        let (most_fluid, unit) = (most_fluid(question), i128::from(evaluate::weighed_unit(question).parts()));
        let enough = most_fluid / (unit / MARGIN).max(1);
        CostScale { per_part: 1 << (i128::BITS - enough.leading_zeros()), most_fluid, unit }
    }

    /// A divisor of the money of every plan, in ten-millionths.
    pub fn unit(&self) -> i128 {
        self.unit
    }

    /// Cost of an amount of money and fluid.
    pub fn of(&self, money: Money, fluid: Millilitres) -> i128 {
        let fluid = if self.most_fluid > 0 { i128::from(fluid.0) } else { 0 };
        self.of_money(money) + fluid
    }

    /// Cost of an amount of money.
    pub fn of_money(&self, money: Money) -> i128 {
        i128::from(money.parts()) * self.per_part
    }

    /// Money in ten-millionths of a plan with this cost. A lower bound of the cost gives a lower bound of the money.
    pub fn money(&self, cost: i128) -> i128 {
        let of_unit = self.per_part * self.unit;
        let without_fluid = cost - self.most_fluid;
        (without_fluid.div_euclid(of_unit) + i128::from(without_fluid.rem_euclid(of_unit) > 0)) * self.unit
    }
}

/// The millilitres of all lots if each takes the choice with the most fluid.
fn most_fluid(question: &Question) -> i128 {
    let most_of = |class: &Class| class.choices.iter().map(|choice| choice.fluid.0).max().unwrap_or(0);
    let of_class = |class: &Class| {
        let most = most_of(class);
        class.members.iter().map(|member| i128::from((most + member.fluid.0).max(0))).sum::<i128>()
    };
    question.classes.iter().map(of_class).sum()
}
