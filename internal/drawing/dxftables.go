package drawing

import "knobwright/internal/geom"

// What surrounds the entities of a DXF file: header, tables, blocks, objects.

func (w *dxfWriter) head(box geom.Box2) {
	w.group(0, "SECTION")
	w.group(2, "HEADER")
	w.group(9, "$ACADVER")
	if w.opt.R12 {
		w.group(1, "AC1009")
	} else {
		w.group(1, "AC1015")
		w.group(9, "$HANDSEED")
		w.group(5, handseed)
	}
	w.group(9, "$INSBASE")
	w.point(10, geom.Vec2{})
	w.group(9, "$EXTMIN")
	w.point(10, box.Min)
	w.group(9, "$EXTMAX")
	w.point(10, box.Max)
	w.group(9, "$LIMMIN")
	w.num(10, box.Min.X)
	w.num(20, box.Min.Y)
	w.group(9, "$LIMMAX")
	w.num(10, box.Max.X)
	w.num(20, box.Max.Y)
	if !w.opt.R12 {
		w.group(9, "$INSUNITS")
		w.int(70, 4) // mm
		w.group(9, "$MEASUREMENT")
		w.int(70, 1) // metric
	}
	w.group(9, "$LUNITS")
	w.int(70, 2)
	w.group(9, "$LTSCALE")
	w.num(40, 1)
	w.group(0, "ENDSEC")
}

func (w *dxfWriter) table(name string, handle, n int, fill func()) {
	w.group(0, "TABLE")
	w.group(2, name)
	if !w.opt.R12 {
		w.hex(5, handle)
		w.hex(330, 0)
		w.group(100, "AcDbSymbolTable")
	}
	w.int(70, n)
	if name == "DIMSTYLE" && !w.opt.R12 {
		w.group(100, "AcDbDimStyleTable")
	}
	fill()
	w.group(0, "ENDTAB")
}

func (w *dxfWriter) record(kind, class string, owner int, name string, flags int) {
	w.group(0, kind)
	if !w.opt.R12 {
		code := 5
		if kind == "DIMSTYLE" {
			code = 105
		}
		w.hex(code, w.handle)
		w.handle++
		w.hex(330, owner)
		w.group(100, "AcDbSymbolTableRecord")
		w.group(100, class)
	}
	w.group(2, name)
	w.int(70, flags)
}

func (w *dxfWriter) tables() {
	w.group(0, "SECTION")
	w.group(2, "TABLES")
	w.table("VPORT", hViewport, 0, func() {})
	w.lineTypes()
	w.table("LAYER", hLayerTable, len(w.layers)+1, func() {
		for _, l := range append([]dxfLayer{{"0", 7}}, w.layers...) {
			w.record("LAYER", "AcDbLayerTableRecord", hLayerTable, l.name, 0)
			w.int(62, l.colour)
			w.group(6, "CONTINUOUS")
		}
	})
	w.table("STYLE", hStyleTable, 2, func() {
		for _, s := range [][2]string{{"STANDARD", "txt"}, {"LETTERING", "DejaVuSans.ttf"}} {
			w.record("STYLE", "AcDbTextStyleTableRecord", hStyleTable, s[0], 0)
			w.num(40, 0)
			w.num(41, 1)
			w.num(50, 0)
			w.int(71, 0)
			w.num(42, 2.5)
			w.group(3, s[1])
			w.group(4, "")
		}
	})
	w.table("VIEW", hViewTable, 0, func() {})
	w.table("UCS", hUCSTable, 0, func() {})
	w.table("APPID", hAppTable, 1, func() { w.record("APPID", "AcDbRegAppTableRecord", hAppTable, "ACAD", 0) })
	w.table("DIMSTYLE", hDimTable, 1, func() { w.record("DIMSTYLE", "AcDbDimStyleTableRecord", hDimTable, "STANDARD", 0) })
	if !w.opt.R12 {
		w.table("BLOCK_RECORD", hBlockTable, 2, func() {
			for _, b := range [...]struct {
				h    int
				name string
			}{{hModel, "*Model_Space"}, {hPaper, "*Paper_Space"}} {
				w.group(0, "BLOCK_RECORD")
				w.hex(5, b.h)
				w.hex(330, hBlockTable)
				w.group(100, "AcDbSymbolTableRecord")
				w.group(100, "AcDbBlockTableRecord")
				w.group(2, b.name)
				w.hex(340, 0)
			}
		})
	}
	w.group(0, "ENDSEC")
}

func (w *dxfWriter) lineTypes() {
	types := [...]struct {
		name, means string
		dash        []float64
	}{
		{"BYBLOCK", "", nil},
		{"BYLAYER", "", nil},
		{"CONTINUOUS", "Solid line", nil},
		{"HIDDEN", "_ _ _ _", pens[Hidden].dash},
		{"CENTRE", "____ _ ____", pens[CentreLn].dash},
		{"DOTTED", ". . . .", []float64{0, 1.4}},
	}
	w.table("LTYPE", hTypeTable, len(types), func() {
		for _, t := range types {
			if w.opt.R12 && (t.name == "BYBLOCK" || t.name == "BYLAYER") {
				continue
			}
			w.record("LTYPE", "AcDbLinetypeTableRecord", hTypeTable, t.name, 0)
			w.group(3, t.means)
			w.int(72, 65)
			w.int(73, len(t.dash))
			sum := 0.0
			for _, d := range t.dash {
				sum += d
			}
			w.num(40, sum)
			for i, d := range t.dash {
				if i%2 == 1 {
					d = -d
				}
				w.num(49, d)
				if !w.opt.R12 {
					w.int(74, 0)
				}
			}
		}
	})
}

func (w *dxfWriter) blocks() {
	w.group(0, "SECTION")
	w.group(2, "BLOCKS")
	if !w.opt.R12 {
		for _, b := range [...]struct {
			h    int
			name string
		}{{hModel, "*Model_Space"}, {hPaper, "*Paper_Space"}} {
			w.group(0, "BLOCK")
			w.hex(5, w.handle)
			w.handle++
			w.hex(330, b.h)
			w.group(100, "AcDbEntity")
			if b.h == hPaper {
				w.int(67, 1)
			}
			w.group(8, "0")
			w.group(100, "AcDbBlockBegin")
			w.group(2, b.name)
			w.int(70, 0)
			w.point(10, geom.Vec2{})
			w.group(3, b.name)
			w.group(1, "")
			w.group(0, "ENDBLK")
			w.hex(5, w.handle)
			w.handle++
			w.hex(330, b.h)
			w.group(100, "AcDbEntity")
			if b.h == hPaper {
				w.int(67, 1)
			}
			w.group(8, "0")
			w.group(100, "AcDbBlockEnd")
		}
	}
	w.group(0, "ENDSEC")
}

func (w *dxfWriter) objects() {
	w.group(0, "SECTION")
	w.group(2, "OBJECTS")
	w.group(0, "DICTIONARY")
	w.hex(5, hRoot)
	w.hex(330, 0)
	w.group(100, "AcDbDictionary")
	w.int(281, 1)
	w.group(3, "ACAD_GROUP")
	w.hex(350, hGroups)
	w.group(0, "DICTIONARY")
	w.hex(5, hGroups)
	w.hex(330, hRoot)
	w.group(100, "AcDbDictionary")
	w.int(281, 1)
	w.group(0, "ENDSEC")
}
