//! Tables on the terminal.

use comfy_table::{ContentArrangement, LineStyle, Table, TableStyle, presets};

/// How wide a table may be where the output is no terminal.
const WIDTH: u16 = 100;

/// A table with a rule under its header and no lines between its rows.
pub(crate) fn ruled() -> Table {
    of_style(presets::UTF8_HORIZONTAL_ONLY.row_separator(LineStyle::none()))
}

/// A table without any lines.
pub(crate) fn plain() -> Table {
    of_style(presets::NOTHING)
}

/// No wider than the terminal.
fn of_style(style: TableStyle) -> Table {
    let mut table = Table::new();
    table.load_style(style);
    table.set_content_arrangement(ContentArrangement::Dynamic);
    if table.width().is_none() {
        table.set_width(WIDTH);
    }
    table
}
