"""Results in words, tables and files: terminal text, JSON, workbooks, the printed memo."""
