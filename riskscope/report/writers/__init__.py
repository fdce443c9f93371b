"""A document of blocks as HTML, PDF or a workbook."""
