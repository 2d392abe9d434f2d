"""Statistics of shares, ranks, agreement and sampling: arrays in, arrays out, one function per method."""
