//! The kinds to keep: a problem in one dimension with known optima, and small projects against every set of kinds.

use itertools::Itertools;
use rehouse::assign::question::question;
use rehouse::decision::{Limits, Question, Status, SupplyIndex};
use rehouse::inquiry::kept::{KeptKinds, kept};
use rehouse::inquiry::{Inquiry, Watch};
use rehouse::options::table::{Row, judge_all};
use rehouse::project::Project;
use rehouse::units::{Money, Pieces};

use super::{judged, ran, small_files};
use crate::decision_oracle::reference;
use crate::support::{TestProject, rows, sampled, tries_all};

fn kept_of(project: &Project, rows: &[Row], most: u32) -> KeptKinds {
    kept(&Inquiry::about(project, rows), most, &mut Watch { report: &mut |_| {}, stop: &|| false })
}

/// Lengths of 159 fish, tests/reference/open-data/README.md.
fn lengths() -> Vec<i64> {
    let fish = rows(include_bytes!("../../reference/open-data/fish.csv"));
    fish.iter().map(|fish| fish["length_mm"].parse().expect("whole millimetres")).collect()
}

/// The least sum of bores, each fish in the least bore that takes it, with k of the lengths as bores: by dynamic programming over
/// the sorted lengths (the last fish that each bore takes).
fn least_sums(lengths: &[i64]) -> Vec<i64> {
    let sorted: Vec<i64> = lengths.iter().copied().sorted().collect();
    let mut least = vec![i64::MAX / 2; sorted.len() + 1];
    least[0] = 0;
    let mut sums = Vec::new();
    for _ in 0..12 {
        let with = |to: usize| (0..to).map(|from| least[from] + sorted[to - 1] * (to - from) as i64).min();
        least = std::iter::once(0).chain((1..=sorted.len()).map(|to| with(to).expect("a first"))).collect();
        sums.push(least[sorted.len()]);
    }
    sums
}

/// Least sums of bores for 1 to 12 kinds.
const SUMS: [i64; 12] =
    [108_120, 73_272, 62_046, 58_750, 56_485, 54_971, 54_111, 53_542, 53_053, 52_629, 52_235, 51_965];

/// Flat fish in round vessels that are as wide as a fish is long and cost a crown a millimetre; nothing need stay free.
fn fish_in_bores(lengths: &[i64]) -> Project {
    let lots = lengths.iter().enumerate();
    let lots = lots.map(|(at, length)| format!("F{at},{length},{length},10,rounded,as-set,ethanol-70,1,0\n"));
    let bores = lengths.iter().sorted().dedup();
    let bores = bores.map(|bore| format!("b{bore:03},cylinder,{bore},80,soda-lime,pp-cap-ptfe,{bore}\n"));
    let case = TestProject::new()
        .file(
            "specimens.csv",
            ["catalogNumber,length_mm,width_mm,height_mm,outline,posture,fluid,tissue_ml,clearance_mm\n".to_owned()]
                .into_iter()
                .chain(lots)
                .collect::<String>(),
        )
        .file(
            "vessels.csv",
            ["vessel,form,inner_diameter_mm,inner_height_mm,material,closure,unit_price\n".to_owned()]
                .into_iter()
                .chain(bores)
                .collect::<String>(),
        )
        .file(
            "settings.toml",
            "[fluid_price]\nethanol-70 = 0\n[clearance]\nmouth_pct = 0\nmouth_min_mm = 0\nmouth_max_mm = 0\n\
             [solver]\ntime_limit_s = 1\n",
        );
    rehouse::read(&case.project()).unwrap_or_else(|wrong| panic!("{wrong:#?}")).project
}

#[test]
fn bores_for_159_fish_are_the_best_to_the_millimetre() {
    let lengths = lengths();
    assert_eq!((lengths.len(), lengths.iter().sum::<i64>()), (159, 49_651));
    assert_eq!(least_sums(&lengths), SUMS);
    let project = fish_in_bores(&lengths);
    let judged = judge_all(&project);
    for (at, sum) in SUMS.into_iter().enumerate().filter(|(at, _)| tries_all() || [0, 1, 4, 9].contains(at)) {
        let most = at as u32 + 1;
        let kept = kept_of(&project, &judged, most);
        assert_eq!((kept.plan.without_place, kept.plan.values.money), ([0; 4], Money::whole(sum)), "{most} kinds");
        assert_eq!(kept.kinds.len(), at + 1);
        assert_eq!(kept.kinds.iter().map(|kind| kind.lots.len()).sum::<usize>(), 159);
    }
}

/// The best plan in which a piece of no other kind than these is used.
fn best_of(asked: &Question, kinds: &[SupplyIndex]) -> [i64; 6] {
    let mut asked = asked.clone();
    for (at, supply) in asked.supplies.enumerated_mut() {
        if !kinds.contains(&at) {
            supply.offers.clear();
            supply.free = Pieces::ZERO;
        }
    }
    reference::best(&asked)
}

#[test]
fn kinds_to_keep_in_small_projects_are_those_of_enumeration() {
    let (mut tried, mut dearer, mut shelf) = (0, 0, 0);
    for seed in 0..sampled(500) {
        let mut files = small_files(seed);
        files.settings.remove("spare_pct");
        files.settings.remove("max_vessel_types");
        let (project, rows) = judged(&files);
        let mut asked = question(&project, &rows);
        asked.limits = Limits { gap: 0.0, ..asked.limits };
        let kinds: Vec<SupplyIndex> = asked.supplies.positions().collect();
        let most = 1 + seed as usize % 3;
        if most <= kinds.len() {
            let kept = kept_of(&project, &rows, most as u32);
            let best = kinds.iter().copied().combinations(most).map(|set| best_of(&asked, &set)).min();
            let best = best.expect("a set");
            let levels: Vec<i64> = kept.plan.levels.iter().map(|level| level.value).collect();
            let at = format!("seed {seed}, {most} of {} kinds", kinds.len());
            assert_eq!(levels[..5], best[..5], "{at}");
            assert_eq!(kept.plan.status, Status::ProvedBest, "{at}");
            assert!(kept.kinds.len() <= most && kept.plan.rank() >= kept.now.rank(), "{at}");
            for kind in &kept.kinds {
                assert!(kind.used <= kind.from_shelf + kind.bought, "{at}: {kind:?}");
            }
            tried += 1;
            dearer += usize::from(kept.plan.rank() > kept.now.rank());
            shelf += usize::from(kept.kinds.iter().any(|kind| kind.from_shelf > Pieces::ZERO));
        }
    }
    assert!(
        !tries_all() || tried > 200 && dearer > 20 && shelf > 20,
        "{tried} plans, {dearer} worse than without a limit, {shelf} from the shelf"
    );
}

/// Three sizes of body, three sizes of jar, the middle one on the shelf.
fn three_jars() -> TestProject {
    TestProject::new()
        .file(
            "specimens.csv",
            "catalogNumber,length_mm,width_mm,height_mm,fluid,posture\nA,20,20,20,ethanol-70,as-set\n\
             B,30,30,20,ethanol-70,as-set\nC,60,60,20,ethanol-70,as-set\n",
        )
        .file(
            "vessels.csv",
            "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,on_hand,unit_price\n\
             large,cylinder,120,80,soda-lime,pp-cap-ptfe,0,9\nmiddle,cylinder,70,60,soda-lime,pp-cap-ptfe,2,\n\
             small,cylinder,45,50,soda-lime,pp-cap-ptfe,0,1\n",
        )
        .file("settings.toml", "[fluid_price]\nethanol-70 = 0\n")
}

#[test]
fn a_kind_on_the_shelf_counts_as_one() {
    let shown = |most: &str| {
        let ran = ran(&three_jars(), "sizes", &["--keep", most]);
        assert_eq!(ran.code, 0, "{}", ran.stderr);
        ran.stdout
    };
    insta::assert_snapshot!(shown("1") + &shown("2"), @r"
    The best plan with at most 1 kind of vessel
      vessel   lots   pieces   from the shelf   to buy   among them
      large       3        3                0        3   A, B, C
      It costs 27.00. The plan as it is uses 2 kinds and costs 9.00.
      So few kinds cost 18.00 more.
      Proved best: no other kinds do better.
    The best plan with at most 2 kinds of vessel
      vessel   lots   pieces   from the shelf   to buy   among them
      middle      2        2                2        0   A, B
      large       1        1                0        1   C
      It costs 9.00. The plan as it is uses 2 kinds and costs 9.00.
      So few kinds cost no more.
      Proved best: no other kinds do better.
    ");
}

#[test]
fn a_number_of_kinds_that_makes_no_sense_is_refused_with_a_cure() {
    let case = three_jars();
    for (asked, cure) in [
        (&["--keep", "0"][..], "write a whole number of kinds, 1 or more"),
        (&["--keep", "-2"], "write a whole number of kinds, 1 or more"),
        (&["--keep", "4"], "write 3 or less"),
        (&["--keep", "2", "--set", "spare_pct=5"], "add --set spare_pct=0"),
        (&["--keep", "2", "--set", "max_vessel_types=2"], "max_vessel_types"),
    ] {
        let ran = ran(&case, "sizes", asked);
        assert_eq!((ran.code, ran.stdout.as_str()), (2, ""), "{asked:?}");
        assert!(ran.stderr.contains(cure), "{asked:?}: {}", ran.stderr);
    }
    let blank = ran(&case, "sizes", &["--keep", "2", "--set", "max_vessel_types=2", "--set", "max_vessel_types=\"\""]);
    assert_eq!(blank.code, 0, "the cure works: {}", blank.stderr);
}
