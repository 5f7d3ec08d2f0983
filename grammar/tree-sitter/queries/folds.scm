[
  (part)
  (generation)
  (house)
  (for_block)
  (try)
  (fits)
  (texts)
] @fold
