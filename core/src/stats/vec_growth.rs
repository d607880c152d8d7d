//! Lists that grow for hours: room is made for them by the quarter, so that no more than that of
//! their memory lies idle.

/// Shorter lists grow as lists do, by doubling.
const LONG: usize = 4_096;

/// Makes room for one more, where there is none left.
pub fn make_room<T>(list: &mut Vec<T>) {
    if list.len() == list.capacity() && list.len() >= LONG {
        list.reserve_exact(list.len() / 4);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_long_list_has_little_idle_room_and_is_seldom_moved() {
        let mut list = Vec::new();
        let mut moved = 0;
        for n in 0..300_000_u32 {
            let before = list.capacity();
            make_room(&mut list);
            list.push(n);
            moved += u32::from(list.capacity() != before);
        }
        assert!(list.capacity() * 4 <= list.len() * 5, "{}", list.capacity());
        assert!(moved < 40, "{moved}");
    }
}
