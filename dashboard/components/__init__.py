"""Pieces that several pages share: words, pictures with their captions, shares, notices, the page frame."""
