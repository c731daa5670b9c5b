"""Room: body to pocket.

Terms: the *clearance* is the gap per side, normal to the wall. The *grown*
body is the body and all that is nearer to it than the clearance. Sweeping the
grown body along the way the thing is lifted out *opens* it: the *pocket* is
the opened body. An *undercut* is where the opened body is wider than the grown
one. The *stand frame* is the thing's frame turned by the lean, with z = 0 at
the thing's lowest point.
"""
