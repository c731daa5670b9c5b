"""Room: what has been made, measured; nothing here changes geometry.

Terms: a *finding* says what was measured, the limit, and what to do. The
*least gap* is the smallest distance between body and holder. *Inspection
dimensions* are what calipers should read on the printed holder.
"""
