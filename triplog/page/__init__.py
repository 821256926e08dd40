"""The page in the cab and the page in the office: a second face of `desk/`, with no logic of its
own.

Start in `app.py`: what answers which address. `work.py` runs what a request asks of the desk;
`entrance/` says who may come in; `cab/` and `office/` are the two pages; `shown/` puts words and
pictures together for the templates; `words/` has French and Spanish.
"""
