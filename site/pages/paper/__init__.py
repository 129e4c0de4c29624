"""The booklet on paper: its contents, its one page made whole in itself, and PDF files of it without a browser."""
