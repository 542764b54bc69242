//! `mix`: refusals and their cures.

use insta::assert_snapshot;

use super::Bench;

#[test]
fn a_mixture_that_cannot_be_made_is_refused_with_a_cure() {
    let commands = [
        "--from denatured-96 --to ethanol-70 --litres 5",
        "--from isopropanol-99 --to ethanol-70 --litres 5",
        "--from ethanol-70 --to ethanol-96 --litres 5",
        "--restore 10 --measured 60 --to 97",
        "--restore 10 --measured 70 --to 70",
        "--restore 10 --measured 0 --to 70",
        "--restore 10 --measured 69.95 --to 70",
        "--from ethanol-96 --to ethanol-95.95 --litres 2",
        "--from ethanol --to 70 --litres 2",
        "--from ethnol-96 --to 70 --litres 2",
        "--from unknown --to 70 --litres 2",
        "--to bouin --litres 2",
        "--to nbf-5 --litres 2",
        "--to formalin-100 --litres 2",
        "--to ethanol-70 --litres 2",
        "--to glycerol-60 --litres 2",
        "--to isopropanol-55 --litres 2",
        "--from ethanol-96 --to 0 --litres 2",
        "--from ethanol-96 --to ethanol-70 --litres 2,5",
        "--from ethanol-96 --to ethanol-70 --litres -5",
        "--from ethanol-96 --to ethanol-70 --litres nan",
        "--from ethanol-96 --to ethanol-70 --litres 5 --temperature 60",
        "--from ethanol-96 --to ethanol-70 --litres 5 --dibasic anhydrous",
        "--from isopropanol-99 --to 50 --litres 5 --temperature 25",
        "--from ethanol-96 --to formalin-10 --litres 5",
        "--from formaldehyde-39 --to formalin-10 --litres 5",
        "--from glycerol-100 --to kaiserling-3 --litres 5",
        "--nbf --litres 5 --dibasic monohydrate",
        "--nbf --litres 5 --temperature 25",
        "--restore 10 --to 70",
        "--nbf",
    ];
    let bench = Bench::new();
    let screens: Vec<String> = commands.iter().map(|command| bench.screen(&format!("mix {command}"))).collect();
    for screen in &screens {
        assert!(screen.ends_with("--- exit code 2\n"), "{screen}");
    }
    let told: String = screens
        .iter()
        .map(|screen| screen.replace("--- standard error\n", "").replace("--- exit code 2\n", ""))
        .collect();
    assert_snapshot!(told, @r#"
    $ rehouse mix --from denatured-96 --to ethanol-70 --litres 5
    rehouse: denatured alcohol and ethanol are different fluids
        → denatured alcohol is never treated as ethanol: name the same fluid in --from and --to, such as denatured-70 from denatured-96
    $ rehouse mix --from isopropanol-99 --to ethanol-70 --litres 5
    rehouse: isopropanol and ethanol are different fluids
        → name the same fluid in --from and --to; a specimen goes from one to the other by a full change of fluid, not by mixing
    $ rehouse mix --from ethanol-70 --to ethanol-96 --litres 5
    rehouse: ethanol-96 is stronger than ethanol-70: it cannot be made by adding water
        → name a stronger stock with --from, or use --restore LITRES --measured PERCENT to strengthen a fluid
    $ rehouse mix --restore 10 --measured 60 --to 97
    rehouse: ethanol-96 cannot strengthen a fluid to ethanol-97
        → with --from, name a stock stronger than the strength wanted
    $ rehouse mix --restore 10 --measured 70 --to 70
    rehouse: ethanol-70 and ethanol-70 are less than a tenth of a per cent apart
        → nothing needs doing: the difference is too small to measure at the bench
    $ rehouse mix --restore 10 --measured 0 --to 70
    rehouse: --measured 0 is not a strength
        → write per cent, from 1 to 100
    $ rehouse mix --restore 10 --measured 69.95 --to 70
    rehouse: ethanol-69.95 and ethanol-70 are less than a tenth of a per cent apart
        → nothing needs doing: the difference is too small to measure at the bench
    $ rehouse mix --from ethanol-96 --to ethanol-95.95 --litres 2
    rehouse: ethanol-96 and ethanol-95.95 are less than a tenth of a per cent apart
        → nothing needs doing: the difference is too small to measure at the bench
    $ rehouse mix --from ethanol --to 70 --litres 2
    rehouse: --from ethanol is not a fluid that can be made up here
        → add the strength, such as ethanol-70
    $ rehouse mix --from ethnol-96 --to 70 --litres 2
    rehouse: --from ethnol-96 is not a fluid that can be made up here
        → did you mean ethanol-96?
    $ rehouse mix --from unknown --to 70 --litres 2
    rehouse: --from unknown is not a fluid that can be made up here
        → nothing is made from an unidentified fluid: test it first
    $ rehouse mix --to bouin --litres 2
    rehouse: --to bouin is not a fluid that can be made up here
        → it is not made up here. Picric acid: explosive when dry; a lot that was fixed with it and is now in alcohol still holds some. Do not open, move or let it dry; call a specialist.
    $ rehouse mix --to nbf-5 --litres 2
    rehouse: --to nbf-5 is not a fluid that can be made up here
        → write a fluid and its strength in per cent, such as ethanol-96, denatured-70, isopropanol-50 or glycerol-70, or a fluid that is made by recipe, such as formalin-10, nbf-10, kaiserling-3 or faa
    $ rehouse mix --to formalin-100 --litres 2
    rehouse: --to formalin-100 is not a formalin that can be made up
        → write formalin-10 for one part of stock in ten; 1 to 50 are possible
    $ rehouse mix --to ethanol-70 --litres 2
    rehouse: --to ethanol-70 needs a stock to make it from
        → name it with --from, such as --from ethanol-96
    $ rehouse mix --to glycerol-60 --litres 2
    rehouse: --to glycerol-60 needs a stock to make it from
        → name it with --from, such as --from glycerol-100
    $ rehouse mix --to isopropanol-55 --litres 2
    rehouse: --to isopropanol-55 needs a stock to make it from
        → name it with --from, such as --from isopropanol-99
    $ rehouse mix --from ethanol-96 --to 0 --litres 2
    rehouse: --to 0 is not a strength
        → write per cent, from 1 to 100
    $ rehouse mix --from ethanol-96 --to ethanol-70 --litres 2,5
    rehouse: --litres 2,5 is not a number
        → write litres as 12 or 2.5, without the unit
    $ rehouse mix --from ethanol-96 --to ethanol-70 --litres -5
    rehouse: --litres -5 is not an amount that can be made up
        → write litres, from 0.001 to 100000
    $ rehouse mix --from ethanol-96 --to ethanol-70 --litres nan
    rehouse: --litres nan is not a number
        → write litres as 12 or 2.5, without the unit
    $ rehouse mix --from ethanol-96 --to ethanol-70 --litres 5 --temperature 60
    rehouse: --temperature 60: no densities are known at that temperature
        → write 0 to 40 °C, with a decimal point
    $ rehouse mix --from ethanol-96 --to ethanol-70 --litres 5 --dibasic anhydrous
    rehouse: phosphates are used only in neutral buffered formalin
        → add --nbf, or leave the phosphates out
    $ rehouse mix --from isopropanol-99 --to 50 --litres 5 --temperature 25
    rehouse: the density of isopropanol at 25 °C is not known
        → leave --temperature out and bring the liquids to 20 °C, or weigh them: masses are right at any temperature
    $ rehouse mix --from ethanol-96 --to formalin-10 --litres 5
    rehouse: formalin-10 cannot be made with --from ethanol-96
        → name the stock formaldehyde as on its label: formaldehyde-37 (by mass, 30 to 38.5) or formaldehyde-40 (grams in 100 ml, the same liquid), or leave --from out for that one
    $ rehouse mix --from formaldehyde-39 --to formalin-10 --litres 5
    rehouse: formalin-10 cannot be made with --from formaldehyde-39
        → name the stock formaldehyde as on its label: formaldehyde-37 (by mass, 30 to 38.5) or formaldehyde-40 (grams in 100 ml, the same liquid), or leave --from out for that one
    $ rehouse mix --from glycerol-100 --to kaiserling-3 --litres 5
    rehouse: --from does not apply to kaiserling-3
        → leave it out: it is made from glycerol and an acetate
    $ rehouse mix --nbf --litres 5 --dibasic monohydrate
    rehouse: --dibasic monohydrate is not one of its hydrates
        → write one of anhydrous, dihydrate, heptahydrate, dodecahydrate
    $ rehouse mix --nbf --litres 5 --temperature 25
    rehouse: --temperature does not apply to nbf-10
        → leave it out: nbf-10 is made up by parts, at room temperature
    $ rehouse mix --restore 10 --to 70
    error: the following required arguments were not provided:
      --measured <PERCENT>

    Usage: rehouse mix --measured <PERCENT> --restore <LITRES> --to <FLUID>

    For more information, try '--cure'.
    $ rehouse mix --nbf
    error: the following required arguments were not provided:
      --litres <LITRES>

    Usage: rehouse mix --nbf --litres <LITRES>

    For more information, try '--cure'.
    "#);
}
