//! Weeks from a first to a last one.

/// With one more week.
pub fn widened(weeks: Option<[u32; 2]>, week: u32) -> [u32; 2] {
    let [first, last] = weeks.unwrap_or([week, week]);
    [first.min(week), last.max(week)]
}

/// "week 3", "weeks 3 to 5".
pub fn said([first, last]: [u32; 2]) -> String {
    if first == last { format!("week {first}") } else { format!("weeks {first} to {last}") }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn weeks_are_widened_by_each_and_said_from_the_first_to_the_last() {
        let one = widened(None, 4);
        let more = [7, 3, 5].into_iter().fold(one, |weeks, week| widened(Some(weeks), week));
        assert_eq!([said(one), said(more)], ["week 4", "weeks 3 to 7"]);
    }
}
