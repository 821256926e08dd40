"""National Safety Code Standard 10 of Canada, cargo securement. Start reading at `in_order.py`.

The standard itself was not read: what stands here was quoted or summed up by manuals, regulations
and training pages, and each citation says so. Imports the shared rules and those of 49 CFR part
393 where both ask the same.
"""
