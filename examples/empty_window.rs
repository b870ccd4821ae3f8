//! A window with nothing in it: what the toolkit itself needs to the first picture (`scripts/first-picture.sh`).

use iced::Element;

fn main() -> iced::Result {
    iced::application(|| (), |(): &mut (), (): ()| {}, view).title("empty window").run()
}

fn view((): &()) -> Element<'_, ()> {
    iced::widget::text("empty").into()
}
