//! The slots that the bench could take now, first in line first: a set of bits with a second level that says
//! which words hold any, and how many there are in each few words and in each few of those.

/// A set of small numbers whose smallest is found at once.
#[derive(Clone, Debug)]
pub struct Ready {
    words: Vec<u64>,
    /// One bit for each word that is not empty.
    some: Vec<u64>,
    /// How many are in each `BLOCK` words.
    blocks: Vec<u16>,
    /// How many are in each `AREA` blocks.
    areas: Vec<u16>,
    count: usize,
}

/// Words counted together, and blocks counted together.
const BLOCK: usize = 4;
const AREA: usize = 8;

impl Ready {
    pub fn for_slots(slots: usize) -> Ready {
        let words = slots.div_ceil(64).max(1);
        Ready {
            words: vec![0; words],
            some: vec![0; words.div_ceil(64)],
            blocks: vec![0; words.div_ceil(BLOCK)],
            areas: vec![0; words.div_ceil(BLOCK * AREA)],
            count: 0,
        }
    }

    pub fn clear(&mut self) {
        self.words.fill(0);
        self.some.fill(0);
        self.blocks.fill(0);
        self.areas.fill(0);
        self.count = 0;
    }

    pub fn len(&self) -> usize {
        self.count
    }

    #[inline]
    pub fn insert(&mut self, slot: u32) {
        let word = (slot / 64) as usize;
        self.words[word] |= 1 << (slot % 64);
        self.some[word / 64] |= 1 << (word % 64);
        self.blocks[word / BLOCK] += 1;
        self.areas[word / (BLOCK * AREA)] += 1;
        self.count += 1;
    }

    #[inline]
    pub fn remove(&mut self, slot: u32) {
        let word = (slot / 64) as usize;
        self.words[word] &= !(1 << (slot % 64));
        if self.words[word] == 0 {
            self.some[word / 64] &= !(1 << (word % 64));
        }
        self.blocks[word / BLOCK] -= 1;
        self.areas[word / (BLOCK * AREA)] -= 1;
        self.count -= 1;
    }

    /// The first in line.
    #[inline]
    pub fn first(&self) -> Option<u32> {
        let (at, some) = self.some.iter().enumerate().find(|(_, some)| **some != 0)?;
        let word = at * 64 + some.trailing_zeros() as usize;
        Some(word as u32 * 64 + self.words[word].trailing_zeros())
    }

    /// The one with `before` others before it in line.
    pub fn nth(&self, mut before: usize) -> Option<u32> {
        let area = skip_counted(&self.areas, &mut before)?;
        let block = AREA * area + skip_counted(self.blocks.get(AREA * area..)?, &mut before)?;
        for (at, word) in self.words.iter().enumerate().skip(block * BLOCK) {
            let mut rest = *word;
            let here = rest.count_ones() as usize;
            if before < here {
                for _ in 0..before {
                    rest &= rest - 1;
                }
                return Some(at as u32 * 64 + rest.trailing_zeros());
            }
            before -= here;
        }
        None
    }

    /// All, first in line first.
    pub fn iter(&self) -> impl Iterator<Item = u32> + '_ {
        self.words.iter().enumerate().flat_map(|(at, word)| {
            (0..64).filter(move |bit| word >> bit & 1 == 1).map(move |bit| at as u32 * 64 + bit)
        })
    }
}

/// The first place whose count reaches beyond what is to be passed over; that of the places before it is taken off.
fn skip_counted(counts: &[u16], before: &mut usize) -> Option<usize> {
    counts.iter().position(|here| match before.checked_sub(usize::from(*here)) {
        Some(left) => {
            *before = left;
            false
        }
        None => true,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn first_and_nth_are_in_order() {
        let mut ready = Ready::for_slots(9_000);
        for slot in [8_999, 64, 63, 4_096] {
            ready.insert(slot);
        }
        assert_eq!(ready.iter().collect::<Vec<_>>(), [63, 64, 4_096, 8_999]);
        let all: Vec<u32> = (0..4).filter_map(|n| ready.nth(n)).collect();
        assert_eq!(all, [63, 64, 4_096, 8_999]);
        ready.remove(63);
        assert_eq!(
            (ready.first(), ready.nth(2), ready.nth(3), ready.len()),
            (Some(64), Some(8_999), None, 3)
        );
        ready.clear();
        assert_eq!(ready.first(), None);
    }
}
