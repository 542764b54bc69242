//! Questions that are pure assignment problems, solved by the Hungarian method of another library.

use super::evaluate::LevelValues;
use crate::random::Random;
use pathfinding::prelude::{Matrix, kuhn_munkres_min};
use rehouse::decision::{Choice, ChoiceIndex, Class, Limits, Member, Question, Supply, SupplyIndex};
use rehouse::stock::VesselId;
use rehouse::units::{IndexTable, Millilitres, Pieces, Position};

/// Rows that may each have some of the vessels, one piece each; nothing to buy, no limit.
///
/// Every third row shares its class with the next one, at a constant of its own. Some questions have fewer vessels than rows, so that a
/// row waits.
pub fn plain_assignment(seed: u64, rows: u32) -> Question {
    let mut random = Random(seed);
    let fine = random.chance(50);
    // In small questions a row may have about half of the vessels, in large ones a third.
    let open = if rows < 10 { 55 } else { 30 };
    let pieces = random.among(i64::from(rows) * 3 / 4, i64::from(rows) * 3 / 2) as u32;
    let supplies = (0..pieces)
        .map(|vessel| Supply { vessel: VesselId(vessel), free: Pieces(1), offers: Vec::new(), counts_as_kind: true })
        .collect();
    let mut classes = IndexTable::new();
    let mut row = 0;
    while row < rows {
        let alike = if row % 3 == 0 && row + 1 < rows { 2 } else { 1 };
        let mut choices: IndexTable<ChoiceIndex, Choice> = IndexTable::new();
        for supply in (0..pieces).map(SupplyIndex::new) {
            if random.chance(open) || (choices.is_empty() && supply.number() + 1 == pieces) {
                let fluid = Millilitres(random.among(30, 900));
                choices.push(Choice { supply: Some(supply), pieces: Pieces(1), money: random.money(30, fine), fluid });
            }
        }
        let mut members: Vec<Member> = (row..row + alike)
            .map(|specimen| Member { money: random.money(3, fine), fluid: Millilitres(random.among(-20, 0)), specimen })
            .collect();
        members.sort();
        classes.push(Class { priority: random.among(1, 4) as u8, members, choices });
        row += alike;
    }
    Question { classes, supplies, suppliers: IndexTable::new(), limits: Limits::default(), ..Question::default() }
}

/// The best levels by the Hungarian method: the cost of a pair is one number in which each level outweighs all later levels.
pub fn by_hungarian_method(question: &Question) -> LevelValues {
    let rows: Vec<(&Class, &Member)> =
        question.classes.iter().flat_map(|class| class.members.iter().map(move |member| (class, member))).collect();
    let count = rows.len() as i128;
    let cost = |choice: &Choice, member: &Member| {
        let money = i128::from(choice.money.parts() + member.money.parts());
        (money, i128::from(choice.fluid.0 + member.fluid.0))
    };
    let all = rows.iter().flat_map(|(class, member)| class.choices.iter().map(|choice| cost(choice, member)));
    let (most_money, most_fluid) =
        all.fold((0, 0), |most: (i128, i128), (money, fluid)| (most.0.max(money), most.1.max(fluid)));
    let litre = most_fluid * count + 1;
    let deferral = |priority: u8| (most_money * count + 1) * litre * (count + 1).pow(u32::from(4 - priority));
    let forbidden = deferral(1) * (count + 1);
    // A column for each vessel, then one for each row that stands for deferring it.
    let pieces = question.supplies.len();
    let weights = Matrix::from_fn(rows.len(), pieces + rows.len(), |(row, column)| {
        let (class, member) = rows[row];
        match column.checked_sub(pieces) {
            Some(waiting) if waiting == row => deferral(class.priority),
            Some(_) => forbidden,
            None => class.choices.iter().find(|choice| choice.supply == Some(SupplyIndex::at(column))).map_or(
                forbidden,
                |choice| {
                    let (money, fluid) = cost(choice, member);
                    money * litre + fluid
                },
            ),
        }
    });
    let (_, columns) = kuhn_munkres_min(&weights);
    let mut levels = [0; 6];
    for ((class, member), column) in rows.into_iter().zip(columns) {
        match class.choices.iter().find(|choice| choice.supply == Some(SupplyIndex::at(column))) {
            None => levels[usize::from(class.priority) - 1] += 1,
            Some(choice) => {
                levels[4] += choice.money.parts() + member.money.parts();
                levels[5] += choice.fluid.0 + member.fluid.0;
            }
        }
    }
    levels
}
