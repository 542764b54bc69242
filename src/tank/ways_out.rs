//! What else may hold a fluid where silicone-bonded glass does not: only what the compatibility table allows.

use crate::rules::{FluidId, Rules, Verdict};
use crate::units::decimal;

/// Materials that larger vessels are made of, by their ids in the table of materials (common practice, no source).
const MADE_OF: [(&str, &str); 5] = [
    ("stainless-steel-316", "a welded tank of stainless steel 316"),
    ("hdpe", "a welded tank of HDPE"),
    ("polypropylene", "a welded tank of polypropylene"),
    ("borosilicate", "a vessel of borosilicate glass in one piece"),
    ("soda-lime", "a vessel of soda-lime glass in one piece"),
];

/// The ways out, the most usual first; a change of fluid is always one. A pair about which nothing is known is none.
pub fn ways_out(rules: &Rules, fluid: FluidId) -> Vec<String> {
    let allowed = MADE_OF.iter().filter_map(|(id, words)| {
        let material = rules.material_named(id)?;
        match rules.compatibility.material(fluid, material) {
            Verdict::Permanent => Some((*words).to_owned()),
            Verdict::Limited(years) => Some(format!("{words} ({} years in this fluid)", decimal(years, 1))),
            Verdict::Unproven | Verdict::Unsuitable => None,
        }
    });
    allowed.chain(["a change of fluid".to_owned()]).collect()
}
