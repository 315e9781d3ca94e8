//! temp
#![allow(clippy::unwrap_used, clippy::print_stdout)]
#[path = "../tests/truth/mod.rs"]
mod truth;
use benchlight::work::calendar::bench::monday_of;
use benchlight::work::replay::*;
use benchlight::work::estimate::view::*;
use std::collections::BTreeMap;
fn main() {
    let args: Vec<String> = std::env::args().skip(1).filter(|a| !a.starts_with("--")).collect();
    let kinds = &truth::TUNED;
    for kind in kinds {
        let mut groups: BTreeMap<String, Vec<Case>> = BTreeMap::new();
        for seed in 1..=4 {
        let shop = truth::shop(kind, seed);
        let first = monday_of(shop.first_asked.plus(6));
        let days: Vec<_> = (0..).map(|n| first.plus(28 * n)).take_while(|day| *day <= shop.last_asked).collect();
        let r = replay(&shop.facts, &days, shop.end, 300);
        let mut view = View::on(&shop.facts, first);
        for c in &r.ours {
            if view.day != c.made { view = View::on(&shop.facts, c.made); }
            let p = view.pieces.iter().find(|p| p.piece == c.piece).unwrap();
            let held = p.steps.iter().enumerate().any(|(i, s)| matches!(s, Stand::Held{..}) || (matches!(s, Stand::Ahead) && shop.facts.pieces[c.piece].steps[i].gates_met.is_none_or(|d| d > c.made)));
            let sent = p.steps.iter().any(|s| matches!(s, Stand::Sent{..}));
            let lined = p.in_line.is_none();
            let route = shop.facts.pieces[c.piece].route;
            groups.entry(format!("route {route}")).or_default().push(*c);
            let g = if lined {"0 no deposit"} else if held {"1 gate unmet"} else if sent {"2 away now"} else if p.moved == shop.facts.pieces[c.piece].taken_in || !p.steps.iter().any(|s| matches!(s, Stand::Over{..})) {"3 not begun"} else {"4 begun"};
            groups.entry(g.into()).or_default().push(*c);
            groups.entry("~all".into()).or_default().push(*c);
        }}
        println!("{}", kind.name);
        for (g, cs) in groups { let s = summary(cs.iter()).unwrap(); 
            let n = cs.len() as f64;
            let width = cs.iter().map(|c| c.latest - c.soonest).sum::<f64>()/n;
            let below = cs.iter().filter(|c| c.came < c.soonest).count() as f64/n;
            let pb = cs.iter().map(|c| 10.0*(c.soonest - c.came).max(0.0)).sum::<f64>()/n;
            let pa = cs.iter().map(|c| 10.0*(c.came - c.latest).max(0.0)).sum::<f64>()/n;
            let likely = cs.iter().map(|c| c.likely).sum::<f64>()/n;
            let bias = cs.iter().map(|c| c.came-c.likely).sum::<f64>()/n;
            println!("  {g:<14} n {:>5} held {:.2} below {below:.2} score {:>4.0} = width {width:>4.0} + below {pb:>4.0} + above {pa:>4.0}; likely {likely:.0} bias {bias:.0} off {}", cs.len(), s.held, s.score, s.off);
        }
    }
    let _ = args;
}
