use std::sync::Arc;
use stillroom::{diag::Diagnostics, reading};
fn main() {
    let path = std::env::args().nth(1).unwrap();
    let mut d = Diagnostics::new();
    let file = reading::file::read(std::path::Path::new(&path), &path, &mut d).unwrap();
    let p = reading::parse(&file, &mut d).unwrap();
    for i in &p.items {
        if let reading::parsed::Item::Question(q) = i {
            println!("{:?}", q.given);
        }
    }
    let m = reading::model::check(&Arc::new(p), &mut d);
    for q in &m.questions {
        println!("{:?}\n{:#?}", q.engine.system.nodes, q.engine.plan);
    }
}
