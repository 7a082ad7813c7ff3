package geom

// Convex is a convex solid, known by its support function: the farthest point in a direction. Anything that can answer
// can be measured against anything else.
type Convex interface {
	// Support gives a point of the solid that lies farthest in direction d (any length, not zero).
	Support(d Vec3) Vec3
	// Centre gives some inner point.
	Centre() Vec3
	// Bounds gives the upright block round it.
	Bounds() Box3
}
