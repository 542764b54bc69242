//! scratch
fn main() {
    let inputs = rehouse::read(std::env::args().nth(1).unwrap().as_ref()).unwrap();
    let rows = rehouse::options::table::judge_all(&inputs.project);
    let mut inquiry = rehouse::inquiry::Inquiry::about(&inputs.project, &rows);
    let start = std::time::Instant::now();
    let curve = rehouse::inquiry::budget::staircase(&mut inquiry, 400, &mut |point| {
        println!("{:?} {} {} {:?} +{} -{} {:?} {:?}", start.elapsed(), point.budget.text(), point.money.text(), point.deferred, point.gained.len(), point.lost.len(), point.status, point.step.as_ref().map(|s| s.proof));
    }, &|| false);
    println!("{} {}", curve.points.len(), curve.whole);
}
