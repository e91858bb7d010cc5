"""One pane a file: which fields, which picture, which rows; panes never import each other."""
