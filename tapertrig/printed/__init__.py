"""Pages to print: the setup sheet, the inspection record, worksheets."""
