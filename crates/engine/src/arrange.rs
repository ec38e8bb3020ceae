//! Sorting that is compiled once.
//!
//! The sort of the standard library is compiled anew for each type it is used with, some four kilobytes each time in
//! the web app before compression, and its first visit has a budget. Here indices are sorted, and only moving the items
//! depends on their type. What is sorted in this project is short: drawing a thousand parts takes a hundredth longer.

use std::collections::{BTreeMap, BTreeSet};

use std::cmp::Ordering;

/// Sorts stably by a comparison.
pub fn sort_by<T>(items: &mut Vec<T>, compare: impl Fn(&T, &T) -> Ordering) {
    let mut order: Vec<usize> = (0..items.len()).collect();
    sort_indices(&mut order, &|a, b| compare(&items[a], &items[b]));
    let mut moved: Vec<Option<T>> = items.drain(..).map(Some).collect();
    items.extend(order.into_iter().filter_map(|index| moved[index].take()));
}

/// Sorts stably by a key.
pub fn sort_by_key<T, K: Ord>(items: &mut Vec<T>, key: impl Fn(&T) -> K) {
    sort_by(items, |a, b| key(a).cmp(&key(b)));
}

/// Sorts in rising order.
pub fn sort<T: Ord>(items: &mut Vec<T>) {
    sort_by(items, T::cmp);
}

fn sort_indices(order: &mut [usize], compare: &dyn Fn(usize, usize) -> Ordering) {
    order.sort_by(|a, b| compare(*a, *b));
}

/// A map of `entries`; of two with one key the later one stays.
///
/// Collecting into a map compiles a sort for every type of entry, which costs the page more than inserting one by one
/// costs the few hundred entries there are.
pub fn map_of<K: Ord, V>(entries: impl IntoIterator<Item = (K, V)>) -> BTreeMap<K, V> {
    let mut map = BTreeMap::new();
    for (key, value) in entries {
        map.insert(key, value);
    }
    map
}

/// A set of `entries`, for the same reason.
pub fn set_of<K: Ord>(entries: impl IntoIterator<Item = K>) -> BTreeSet<K> {
    let mut set = BTreeSet::new();
    for key in entries {
        set.insert(key);
    }
    set
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn equal_items_keep_their_order_and_none_is_lost() {
        let mut words = vec!["pear", "fig", "plum", "apple", "kiwi", "date"];
        sort_by_key(&mut words, |word| word.len());
        assert_eq!(words, ["fig", "pear", "plum", "kiwi", "date", "apple"]);
        sort(&mut words);
        assert_eq!(words, ["apple", "date", "fig", "kiwi", "pear", "plum"]);
    }
}
