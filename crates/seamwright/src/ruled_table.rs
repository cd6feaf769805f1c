use comfy_table::{ContentArrangement, LineStyle, Table, presets};

/// How wide a table may be where the output is no terminal.
const WIDTH: u16 = 100;

/// A table with a rule under its header and no lines between its rows, no wider
/// than the terminal.
pub(crate) fn ruled_table() -> Table {
    let mut table = Table::new();
    table.load_style(presets::UTF8_HORIZONTAL_ONLY.row_separator(LineStyle::none()));
    table.set_content_arrangement(ContentArrangement::Dynamic);
    if table.width().is_none() {
        table.set_width(WIDTH);
    }
    table
}
