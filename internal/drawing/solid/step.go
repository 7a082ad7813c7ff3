package solid

import (
	"fmt"
	"time"

	"knobwright/internal/geom"
)

// STEPOptions are what a STEP file says of itself.
type STEPOptions struct {
	Title string
	// Time is the time of writing in the file's head. Files are made without a look at the clock; the zero value becomes 1 January 2000.
	Time time.Time
}

// STEP gives the bodies as an ISO 10303-21 file after application protocol 214: each body is a product with its name, colour and one
// MANIFOLD_SOLID_BREP for each piece, in millimetres; two bodies and more are put together in an assembly named Title,
// each standing where its coordinates say. Planes, cylinders, cones, lines, circles and ellipses are true ones. A drilled
// hole is two half cylinders.
//
// Source: ISO 10303-21, -42, -43, -44, -46 and -214, entity names and attribute order from memory; checked by
// reading the files with an independent kernel.
func (m *Model) STEP(opt STEPOptions) []byte {
	w := &stepWriter{seen: map[string]int{}}
	t := opt.Time
	if t.IsZero() {
		t = time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)
	}
	title := opt.Title
	if title == "" {
		title = "solids"
	}
	app := w.add("APPLICATION_CONTEXT('core data for automotive mechanical design processes')")
	w.add("APPLICATION_PROTOCOL_DEFINITION('international standard','automotive_design',2000,#%d)", app)
	product := productMaker(w, app)
	mm := w.add("(LENGTH_UNIT()NAMED_UNIT(*)SI_UNIT(.MILLI.,.METRE.))")
	rad := w.add("(NAMED_UNIT(*)PLANE_ANGLE_UNIT()SI_UNIT($,.RADIAN.))")
	sr := w.add("(NAMED_UNIT(*)SI_UNIT($,.STERADIAN.)SOLID_ANGLE_UNIT())")
	exact := w.add("UNCERTAINTY_MEASURE_WITH_UNIT(LENGTH_MEASURE(1.E-06),#%d,'distance_accuracy_value','')", mm)
	space := w.add("(GEOMETRIC_REPRESENTATION_CONTEXT(3)GLOBAL_UNCERTAINTY_ASSIGNED_CONTEXT((#%d))"+
		"GLOBAL_UNIT_ASSIGNED_CONTEXT((#%d,#%d,#%d))REPRESENTATION_CONTEXT('','3D'))", exact, mm, rad, sr)
	origin := w.placement(geom.Vec3{}, geom.Vec3{Z: 1}, geom.Vec3{X: 1})

	var whole, wholeRep int
	if len(m.bodies) > 1 {
		var shape int
		whole, shape = product(0, title)
		wholeRep = w.add("SHAPE_REPRESENTATION(%s,(#%d),#%d)", w.text(title), origin, space)
		w.add("SHAPE_DEFINITION_REPRESENTATION(#%d,#%d)", shape, wholeRep)
	}
	var styled []int
	for i, b := range m.bodies {
		def, shape := product(i+1, b.name)
		items := []int{origin}
		style := w.colour(b.colour)
		for _, p := range b.pieces {
			s := w.brep(b.name, p)
			items = append(items, s)
			styled = append(styled, w.add("STYLED_ITEM('color',(#%d),#%d)", style, s))
		}
		rep := w.add("ADVANCED_BREP_SHAPE_REPRESENTATION(%s,%s,#%d)", w.text(b.name), list(items), space)
		w.add("SHAPE_DEFINITION_REPRESENTATION(#%d,#%d)", shape, rep)
		if whole != 0 {
			occ := w.add("NEXT_ASSEMBLY_USAGE_OCCURRENCE('%d',%s,'',#%d,#%d,$)", i+1, w.text(b.name), whole, def)
			place := w.add("PRODUCT_DEFINITION_SHAPE('Placement',$,#%d)", occ)
			move := w.add("ITEM_DEFINED_TRANSFORMATION('',$,#%d,#%d)", origin, origin)
			rel := w.add("(REPRESENTATION_RELATIONSHIP('','',#%d,#%d)REPRESENTATION_RELATIONSHIP_WITH_TRANSFORMATION(#%d)"+
				"SHAPE_REPRESENTATION_RELATIONSHIP())", rep, wholeRep, move)
			w.add("CONTEXT_DEPENDENT_SHAPE_REPRESENTATION(#%d,#%d)", rel, place)
		}
	}
	if len(styled) > 0 {
		w.add("MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION('',%s,#%d)", list(styled), space)
	}
	head := fmt.Sprintf("ISO-10303-21;\nHEADER;\nFILE_DESCRIPTION((''),'2;1');\nFILE_NAME(%s,'%s',(''),(''),'Knobwright','Knobwright','');\n"+
		"FILE_SCHEMA(('AUTOMOTIVE_DESIGN { 1 0 10303 214 1 1 1 1 }'));\nENDSEC;\nDATA;\n", w.text(title), t.UTC().Format("2006-01-02T15:04:05"))
	return append(append([]byte(head), w.data...), "ENDSEC;\nEND-ISO-10303-21;\n"...)
}

// productMaker gives a function that writes a product and its paperwork.
func productMaker(w *stepWriter, app int) func(id int, name string) (def, shape int) {
	ctx := w.add("PRODUCT_CONTEXT('',#%d,'mechanical')", app)
	stage := w.add("PRODUCT_DEFINITION_CONTEXT('part definition',#%d,'design')", app)
	return func(id int, name string) (def, shape int) {
		p := w.add("PRODUCT('%d',%s,'',(#%d))", id, w.text(name), ctx)
		w.add("PRODUCT_RELATED_PRODUCT_CATEGORY('part',$,(#%d))", p)
		f := w.add("PRODUCT_DEFINITION_FORMATION('','',#%d)", p)
		def = w.add("PRODUCT_DEFINITION('design','',#%d,#%d)", f, stage)
		return def, w.add("PRODUCT_DEFINITION_SHAPE('','',#%d)", def)
	}
}

// colour writes what gives a solid its colour.
func (w *stepWriter) colour(c Colour) int {
	part := func(v uint8) string { return real(tidy(float64(v)/255, 1e6)) }
	rgb := w.share("COLOUR_RGB('',%s,%s,%s)", part(c.R), part(c.G), part(c.B))
	fill := w.share("FILL_AREA_STYLE_COLOUR('',#%d)", rgb)
	area := w.share("FILL_AREA_STYLE('',(#%d))", fill)
	surf := w.share("SURFACE_STYLE_FILL_AREA(#%d)", area)
	side := w.share("SURFACE_SIDE_STYLE('',(#%d))", surf)
	usage := w.share("SURFACE_STYLE_USAGE(.BOTH.,#%d)", side)
	return w.share("PRESENTATION_STYLE_ASSIGNMENT((#%d))", usage)
}
