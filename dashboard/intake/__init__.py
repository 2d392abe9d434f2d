"""Files that visitors bring: kept until they are imported, looked at, taken in, corrected, withdrawn."""
