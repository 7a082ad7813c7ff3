/** A closed body in triangles: three numbers a point, three points a triangle. */
export interface Body {
  points: ArrayLike<number>
  tris: ArrayLike<number>
}

export type Flat = [number, number]

/** One region of a cut: its outer edge, and the edges of holes in it. */
export interface Region {
  edge: Flat[]
  holes: Flat[][]
}

/** Points that lie in the same place become one, so that runs of a cut can be joined. */
export function welded(b: Body): Int32Array {
  const ids = new Map<string, number>()
  const out = new Int32Array(b.points.length / 3)
  for (let i = 0; i < out.length; i++) {
    const k = `${Math.round(b.points[3 * i] * 1000)},${Math.round(b.points[3 * i + 1] * 1000)},${Math.round(b.points[3 * i + 2] * 1000)}`
    const at = ids.get(k)
    if (at === undefined) ids.set(k, i)
    out[i] = at ?? i
  }
  return out
}

/**
 * Cuts a closed body with the plane through o with the directions u and v in it (square to each other, length 1), and gives the closed
 * lines of the cut in u and v. Lines that do not close, of a body that is none, are left out.
 */
export function cutLines(b: Body, weld: Int32Array, o: number[], u: number[], v: number[]): Flat[][] {
  const n = [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]]
  const far = new Float64Array(weld.length)
  for (let i = 0; i < far.length; i++) {
    let d = 0
    for (let k = 0; k < 3; k++) d += (b.points[3 * i + k] - o[k]) * n[k]
    far[i] = Math.abs(d) < 1e-6 ? 1e-6 : d // a corner in the plane counts as beyond it
  }
  const at = new Map<number, Flat>()
  const next = new Map<number, number[]>()
  const cross = (p: number, q: number) => {
    const [i, j] = p < q ? [p, q] : [q, p]
    const key = i * weld.length + j
    if (!at.has(key)) {
      const t = far[i] / (far[i] - far[j])
      let x = 0
      let y = 0
      for (let k = 0; k < 3; k++) {
        const w = b.points[3 * i + k] + t * (b.points[3 * j + k] - b.points[3 * i + k]) - o[k]
        x += w * u[k]
        y += w * v[k]
      }
      at.set(key, [x, y])
    }
    return key
  }
  for (let t = 0; t < b.tris.length; t += 3) {
    const c = [weld[b.tris[t]], weld[b.tris[t + 1]], weld[b.tris[t + 2]]]
    const ends: number[] = []
    for (let k = 0; k < 3; k++) if (far[c[k]] > 0 !== far[c[(k + 1) % 3]] > 0) ends.push(cross(c[k], c[(k + 1) % 3]))
    if (ends.length !== 2) continue
    for (const [p, q] of [ends, [ends[1], ends[0]]]) next.set(p, [...(next.get(p) ?? []), q])
  }
  const done = new Set<number>()
  const lines: Flat[][] = []
  for (const start of next.keys()) {
    if (done.has(start)) continue
    const line: Flat[] = []
    let here: number | undefined = start
    let last = start
    while (here !== undefined && !done.has(here)) {
      done.add(here)
      line.push(at.get(here)!)
      last = here
      here = next.get(here)!.find((k) => !done.has(k))
    }
    if (line.length > 2 && next.get(last)!.includes(start)) lines.push(line)
  }
  return lines
}

const area = (l: Flat[]) => l.reduce((s, p, i) => s + p[0] * l[(i + 1) % l.length][1] - l[(i + 1) % l.length][0] * p[1], 0) / 2

function inside(l: Flat[], [x, y]: Flat): boolean {
  let odd = false
  for (let i = 0; i < l.length; i++) {
    const [a, b] = [l[i], l[(i + 1) % l.length]]
    if (a[1] > y !== b[1] > y && x < a[0] + ((y - a[1]) / (b[1] - a[1])) * (b[0] - a[0])) odd = !odd
  }
  return odd
}

/** Sorts closed lines into regions: a line within an odd number of others is the edge of a hole. */
export function regions(lines: Flat[][]): Region[] {
  const ls = lines.filter((l) => Math.abs(area(l)) > 1e-3).sort((a, b) => Math.abs(area(b)) - Math.abs(area(a)))
  const out: Region[] = []
  const of: (Region | null)[] = []
  ls.forEach((l, i) => {
    const around = ls.slice(0, i).map((o, k) => (inside(o, l[0]) ? k : -1)).filter((k) => k >= 0)
    if (around.length % 2 === 0) {
      const r = { edge: l, holes: [] }
      out.push(r)
      of[i] = r
    } else {
      of[i] = null
      const parent = around.reverse().map((k) => of[k]).find((r) => r)
      parent?.holes.push(l)
    }
  })
  return out
}

/** Lines of a hatch inside a region: so far apart, at so many degrees; pairs of ends. */
export function hatch(r: Region, apart: number, degrees: number): [Flat, Flat][] {
  const c = Math.cos((degrees * Math.PI) / 180)
  const s = Math.sin((degrees * Math.PI) / 180)
  const turn = ([x, y]: Flat): Flat => [x * c + y * s, -x * s + y * c]
  const back = ([x, y]: Flat): Flat => [x * c - y * s, x * s + y * c]
  const edges: [Flat, Flat][] = []
  for (const l of [r.edge, ...r.holes]) l.forEach((p, i) => edges.push([turn(p), turn(l[(i + 1) % l.length])]))
  let lo = Infinity
  let hi = -Infinity
  for (const [a] of edges) {
    lo = Math.min(lo, a[1])
    hi = Math.max(hi, a[1])
  }
  const out: [Flat, Flat][] = []
  for (let y = Math.ceil(lo / apart) * apart; y < hi && out.length < 4000; y += apart) {
    const xs: number[] = []
    for (const [a, b] of edges) if (a[1] > y !== b[1] > y) xs.push(a[0] + ((y - a[1]) / (b[1] - a[1])) * (b[0] - a[0]))
    xs.sort((p, q) => p - q)
    for (let i = 0; i + 1 < xs.length; i += 2) out.push([back([xs[i], y]), back([xs[i + 1], y])])
  }
  return out
}
