"""The pages that are made whole from the data of the package: one a check, one a table, one a book."""
