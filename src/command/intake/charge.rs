//! Charges at the counter: from the price list of a route, or in words of one's own.

use super::answers::Charged;
use crate::base::money::{Currency, Money, MoneyError, plain_decimal};
use crate::base::words::ticked;
use crate::model::{Amount, PriceOf, Route, Shop};
use rust_decimal::Decimal;

/// A line that can be chosen.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Offer {
    pub what: String,
    pub price: PriceOf,
    pub kind: String,
}

/// What can be chosen for a route: the piece itself at the price of its pose, else of its route, then the route's
/// price list. Each price stands in one file only: `pose.toml`, or the route's.
pub fn offers(shop: &Shop, route: &Route, pose: Option<&str>) -> Vec<Offer> {
    let of_pose = pose.and_then(|words| {
        let key = words.rsplit('/').next().unwrap_or(words);
        let animal = words.split_once('/').map(|(animal, _)| animal).or(route.animal.as_deref())?;
        shop.poses.iter().find(|pose| pose.key == key && pose.animal == animal)
    });
    let what = match of_pose {
        Some(pose) => format!("{}, {}", route.name, pose.name.to_lowercase()),
        None => route.name.clone(),
    };
    let price = of_pose.and_then(|pose| pose.price_from).or(route.price_from);
    let itself = price.map(|price| Offer { what, price: PriceOf::Flat(price), kind: "work".to_owned() });
    let listed =
        route.prices.iter().map(|p| Offer { what: p.what.clone(), price: p.amount, kind: p.kind.clone() });
    itself.into_iter().chain(listed).collect()
}

impl Offer {
    /// As it stands in the list at the counter.
    pub fn shown(&self, currency: Currency) -> String {
        match self.price {
            PriceOf::Flat(amount) => format!("{}: {}", self.what, amount.plain(currency)),
            PriceOf::Each(each) => format!("{}: {} each", self.what, each.plain(currency)),
        }
    }

    /// The charge for so many of it; a flat price takes no count.
    pub fn charged(&self, count: Option<Decimal>) -> Option<Charged> {
        let amount = match (self.price, count) {
            (PriceOf::Flat(amount), None) => Amount::Flat(amount),
            (PriceOf::Each(each), Some(count)) => Amount::Each { each, count },
            _ => return None,
        };
        Some(Charged { what: self.what.clone(), amount, kind: self.kind.clone() })
    }
}

/// A charge as a flag has it: `Half strut=795`, `Driftwood base=4.25 x 12`, or a line of the price list by its
/// name or number, `Driftwood base x 12`.
pub fn parse(text: &str, offers: &[Offer], currency: Currency) -> Result<Charged, String> {
    let (what, price) = match text.rsplit_once('=') {
        Some((what, price)) => (what.trim(), Some(price.trim())),
        None => (text.trim(), None),
    };
    let Some(price) = price else {
        let exact = find(offers, what);
        let (offer, count) = match exact {
            Some(offer) => (Some(offer), None),
            None => match times(what) {
                Some((name, count)) => (find(offers, name), Some(count)),
                None => (None, None),
            },
        };
        let offer = offer.ok_or_else(|| unknown(what, offers))?;
        return offer.charged(count).ok_or_else(|| match offer.price {
            PriceOf::Each(_) => format!(
                "{} is priced each: write how many, such as `{} x 12`",
                ticked(&offer.what),
                offer.what
            ),
            PriceOf::Flat(_) => format!("{} has one price for the whole", ticked(&offer.what)),
        });
    };
    if what.is_empty() {
        return Err(format!("{} says no word of what is charged", ticked(text)));
    }
    let kind = find(offers, what).map_or("work", |offer| offer.kind.as_str()).to_owned();
    let amount = match times(price) {
        Some((each, count)) => Amount::Each { each: money(each, currency)?, count },
        None => Amount::Flat(money(price, currency)?),
    };
    Ok(Charged { what: what.to_owned(), amount, kind })
}

/// An amount of money as somebody types it.
pub fn money(text: &str, currency: Currency) -> Result<Money, String> {
    let sign = currency.sign();
    let bare = text.strip_prefix(sign.as_str()).unwrap_or(text).trim();
    match Money::parse(bare, currency) {
        Ok(amount) if !amount.is_negative() => Ok(amount),
        Ok(_) => Err("write an amount without a minus".to_owned()),
        Err(MoneyError::TooFine) => Err(format!("{} is finer than the smallest coin", ticked(text))),
        Err(_) => Err(format!("{} is no amount; write it like 695 or 695.50", ticked(text))),
    }
}

/// How many, as somebody types it.
pub fn how_many(text: &str) -> Result<Decimal, String> {
    let count = plain_decimal(text).filter(|count| !count.is_sign_negative() && !count.is_zero());
    count.ok_or_else(|| format!("{} is no number; write it like 12 or 12.5", ticked(text)))
}

fn find<'o>(offers: &'o [Offer], what: &str) -> Option<&'o Offer> {
    let by_number = what.parse::<usize>().ok().and_then(|n| offers.get(n.checked_sub(1)?));
    by_number.or_else(|| offers.iter().find(|offer| offer.what.eq_ignore_ascii_case(what)))
}

/// `Driftwood base x 12` in two.
fn times(text: &str) -> Option<(&str, Decimal)> {
    let (name, count) = text.rsplit_once(" x ")?;
    Some((name.trim(), how_many(count.trim()).ok()?))
}

fn unknown(what: &str, offers: &[Offer]) -> String {
    let near = crate::problem::nearest(what, offers.iter().map(|offer| offer.what.as_str()));
    let hint = match near {
        Some(near) => format!("did you mean {}?", ticked(near)),
        None => format!("write its price as well, such as `{what}=85`"),
    };
    format!("the price list of the route has no {}; {hint}", ticked(what))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn charges_are_read_from_the_list_or_with_their_own_price() {
        let usd = Currency::from_code("USD").unwrap();
        let minor = Money::from_minor;
        let offer = |what: &str, price| Offer { what: what.into(), price, kind: "goods".into() };
        let offers =
            [offer("Low base", PriceOf::Flat(minor(8500))), offer("Driftwood", PriceOf::Each(minor(425)))];
        let line = |text: &str| parse(text, &offers, usd).map(|c| (c.what, c.amount, c.kind));
        let twelve = Decimal::from(12);
        let words = |what: &str, amount, kind: &str| Ok((what.to_owned(), amount, kind.to_owned()));
        assert_eq!(line("low base"), words("Low base", Amount::Flat(minor(8500)), "goods"));
        let each = Amount::Each { each: minor(425), count: twelve };
        assert_eq!(line("2 x 12"), words("Driftwood", each, "goods"));
        assert_eq!(line("Low base = $80"), words("Low base", Amount::Flat(minor(8000)), "goods"));
        let own = Amount::Each { each: minor(150), count: twelve };
        assert_eq!(line("A=B, odd=1.50 x 12"), words("A=B, odd", own, "work"));
        for (text, told) in [
            ("Driftwood", "priced each"),
            ("Low base x 2", "one price for the whole"),
            ("Drifwood x 2", "did you mean `Driftwood`?"),
            ("Crate", "such as `Crate=85`"),
            ("=5", "no word"),
            ("Crate=lots", "no amount"),
            ("Crate=-5", "without a minus"),
            ("Crate=1.005", "finer"),
        ] {
            assert!(line(text).unwrap_err().contains(told), "{text}: {:?}", line(text));
        }
    }
}
