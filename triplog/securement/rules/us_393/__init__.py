"""The general rules of 49 CFR part 393 subpart I, one file per paragraph or pair of paragraphs.

Each public function takes a plan (some take one article or group of it) and returns findings.
Start reading at `scope.py`, which says whether the rules are law for this plan, and
`commodity.py`, which says whether the general rules are enough for an article.
"""
