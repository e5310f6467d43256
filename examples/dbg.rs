use std::sync::Arc;
use stillroom::{diag::Diagnostics, question::Solution, reading};
fn main() {
    let path = std::env::args().nth(1).unwrap();
    let mut d = Diagnostics::new();
    let file = reading::file::read(std::path::Path::new(&path), &path, &mut d).unwrap();
    let p = reading::parse(&file, &mut d).unwrap();
    let t = std::time::Instant::now();
    let m = reading::model::check(&Arc::new(p), &mut d);
    let dt = t.elapsed();
    for x in d.sorted() {
        println!("{}", stillroom::diag::render(&x, false));
    }
    println!("check {dt:?}");
    for q in m.questions.iter().chain(m.examples.iter().map(|e| &e.1)) {
        println!("== {}", q.question.id.value);
        let t = std::time::Instant::now();
        let choice: Vec<usize> = q.axes().iter().map(|n| n / 2).collect();
        match Solution::of(q, &choice) {
            Ok(s) => {
                println!("solve {:?}", t.elapsed());
                let a = s.answers();
                println!("{}", s.filled(&q.question.stem));
                for w in s.working(&a) {
                    println!("  [{}] {}\n      {}", w.part, w.says, w.chain.join(" = "));
                }
                for a in &a {
                    println!(
                        "  ({}) {} = {} {} [{}, {}] {:?}",
                        a.part,
                        a.name,
                        a.printed,
                        a.unit.print(),
                        a.lowest,
                        a.highest,
                        s.slips(a.part, a)
                    );
                }
            }
            Err(e) => println!("refused {e:?}"),
        }
    }
}
