//! What a posting costs in requests, counted by whoever stands before the host: nothing changed costs a look at
//! everything and nothing more, a save three requests or fewer beyond that.

use super::proxy::Proxy;
use super::servers::Storage;
use super::{At, posts, put_up_at, readme_lines};
use crate::builder::TestShop;

fn behind_a_counter() -> (TestShop, At, Proxy) {
    let storage = Storage::start();
    let proxy = Proxy::before(storage.port);
    let shop = TestShop::healthy();
    let at = At::Storage(storage);
    put_up_at(&shop, &at);
    let lines = readme_lines("storage")
        .replace("https://storage.example", &format!("http://127.0.0.1:{}", proxy.port));
    super::put_up(&shop, &lines, None);
    shop.make(0);
    (shop, at, proxy)
}

#[test]
fn nothing_changed_costs_one_look_and_a_save_three_requests_more() {
    let (shop, at, proxy) = behind_a_counter();
    posts(&shop, &at);
    proxy.requests();
    posts(&shop, &at).says("(1 request)");
    assert_eq!(proxy.requests().len(), 1);

    // A line typed into a job: its page changes, and nothing else does.
    shop.edit("content/jobs/26-041 Fenn gobbler/job.toml", "over the left wing", "over the right wing");
    shop.make(0);
    let said = shop.run(&["post"]).exits(0).out();
    let requests = proxy.requests();
    assert!(requests.len() <= 1 + 3, "{requests:?}");
    assert!(said.contains(&format!("({} requests)", requests.len())), "{said}\n{requests:?}");
    let told: usize = said.split("about ").nth(1).unwrap().split(' ').next().unwrap().parse().unwrap();
    assert_eq!(told + 1, requests.len(), "what it will cost is what it costs: {said}");

    // With the record lost, the host says itself what it holds.
    std::fs::remove_dir_all(shop.at(".benchlight/posted")).unwrap();
    posts(&shop, &at).says("(1 request)");
    assert_eq!(proxy.requests().len(), 1);
}

#[test]
fn more_files_than_one_page_of_a_listing_names() {
    let (shop, at, proxy) = behind_a_counter();
    // The owner's own files in `public/` go up as well.
    for number in 0..1100 {
        shop.file(&format!("public/old-price-lists/{number}.txt"), format!("{number}\n"));
    }
    posts(&shop, &at);
    proxy.requests();
    let pages = at.holds().len().div_ceil(1000);
    assert_eq!(pages, 2);
    posts(&shop, &at);
    assert_eq!(proxy.requests().len(), pages);
    // A thousand go in one request each.
    std::fs::remove_dir_all(shop.at("public/old-price-lists")).unwrap();
    posts(&shop, &at).says("1100 gone");
    let requests = proxy.requests();
    assert!(requests.len() <= pages + 2 + pages, "{requests:?}");
}
