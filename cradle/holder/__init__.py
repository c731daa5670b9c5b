"""Room: pocket to holder.

Terms: the *block* is the parametric base; its *plan* is its outline seen from
above, its *foot* what stands on the table, its *rim* the top around the
pocket's mouth. *Holder* = block − pocket − openings. The *print frame* is the
stand frame moved up so that z = 0 is the print bed.
"""
