"""Room: the nouns of a finished holder, and which test rings would teach something about it.

Terms
-----
thing as modelled
    From its project to its body, the way out and the model of its fit.
thing in its pocket
    A thing as modelled, and how it sits in the finished holder.
holder as made
    The holder, the things in it, and all that was measured of both.
"""
