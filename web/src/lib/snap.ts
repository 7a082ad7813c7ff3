import type { ControlData } from './types'

/** A line that is shown while dragging. centre: in line with another middle; gap: equal gaps; measure: a distance. */
export interface Guide {
  kind: 'centre' | 'gap' | 'measure'
  a: [number, number]
  b: [number, number]
  say: string
}

type Box = [number, number, number, number]

/** Everything on the face that does not move, and the middle of the face. */
export interface Still {
  others: ControlData[]
  width: number
  height: number
  grain: number // what places are rounded to, mm
  near: number // how near draws, mm
}

interface Pull {
  to: number // where the middle would stand
  rank: number // lower goes before
  guides: (at: [number, number], box: Box) => Guide[]
}

const moved = (b: Box, dx: number, dy: number): Box => [b[0] + dx, b[1] + dy, b[2] + dx, b[3] + dy]
const say = (mm: number) => (Math.round(mm * 10) / 10).toFixed(1)

/**
 * The shift that a drag means. It is drawn onto the middles of others, onto equal gaps and the middle of the face, else onto the grain;
 * free leaves it as the hand has it.
 */
export function drawn(mid: [number, number], box: Box, dx: number, dy: number, still: Still, free: boolean): { dx: number; dy: number; guides: Guide[] } {
  const guides: Guide[] = []
  if (free) return { dx, dy, guides: measured(moved(box, dx, dy), still) }
  const best: (Pull | undefined)[] = []
  for (const i of [0, 1] as const) {
    const by = i === 0 ? dx : dy
    const b = moved(box, dx, dy)
    let hit: Pull | undefined
    const at = mid[i] + by
    for (const p of pulls(i, b, mid[1 - i] + (i === 0 ? dy : dx), mid[i] + by, still)) {
      const d = Math.abs(p.to - at)
      if (d < still.near && (!hit || p.rank * 0.35 * still.near + d < hit.rank * 0.35 * still.near + Math.abs(hit.to - at))) hit = p
    }
    const to = hit ? hit.to : Math.round(at / still.grain) * still.grain
    if (i === 0) dx = to - mid[0]
    else dy = to - mid[1]
    best.push(hit)
  }
  const at: [number, number] = [mid[0] + dx, mid[1] + dy]
  const b = moved(box, dx, dy)
  for (const p of best) if (p) guides.push(...p.guides(at, b))
  // a gap that is said to be even is not measured once more
  const same = (p: [number, number], q: [number, number]) => Math.abs(p[0] - q[0]) + Math.abs(p[1] - q[1]) < 0.3
  const rest = measured(b, still).filter((m) => !guides.some((g) => g.kind === 'gap' && same(g.a, m.a) && same(g.b, m.b)))
  return { dx, dy, guides: [...guides, ...rest] }
}

/** The same for one control among others, onto the half millimetre; no edges of a sheet are measured. */
export function snapped(c: ControlData, dx: number, dy: number, all: ControlData[], grid: boolean): { dx: number; dy: number; guides: Guide[] } {
  const still = { others: all.filter((o) => o.name !== c.name), width: 0, height: 0, grain: 0.5, near: 1.2 }
  return drawn([c.x, c.y], c.front, dx, dy, still, !grid)
}

/** What draws the middle along one axis: i = 0 across, 1 up. */
function pulls(i: 0 | 1, b: Box, across: number, now: number, s: Still): Pull[] {
  const j = (1 - i) as 0 | 1
  const out: Pull[] = []
  const pt = (v: number, w: number): [number, number] => (i === 0 ? [v, w] : [w, v])
  const face = (i === 0 ? s.width : s.height) / 2
  if (face > 0) out.push({ to: face, rank: 2, guides: () => [{ kind: 'centre', a: pt(face, 0), b: pt(face, i === 0 ? s.height : s.width), say: 'middle of the face' }] })
  let line: ControlData | undefined
  for (const o of s.others) {
    const d = Math.abs((i === 0 ? o.x : o.y) - now)
    if (d >= s.near) continue
    const far = (c: ControlData) => Math.abs((j === 0 ? c.x : c.y) - across)
    if (!line || d < Math.abs((i === 0 ? line.x : line.y) - now) - 1e-6 || (Math.abs(d - Math.abs((i === 0 ? line.x : line.y) - now)) <= 1e-6 && far(o) < far(line))) line = o
  }
  if (line) {
    const o = line
    out.push({ to: i === 0 ? o.x : o.y, rank: 0, guides: (at) => [{ kind: 'centre', a: at, b: [o.x, o.y], say: (i === 0 ? 'under ' : 'level with ') + o.label }] })
  }
  // equal gaps with those that stand in the same row (or column)
  const mates = s.others.filter((o) => o.front[j] < b[j + 2] && o.front[j + 2] > b[j]).sort((p, q) => p.front[i] - q.front[i])
  const size = b[i + 2] - b[i]
  const middle = now - (b[i] + b[i + 2]) / 2 // of the thing, from the middle of its box
  const mark = (p: Box, q: Box, cross: number, gap: number): Guide => ({ kind: 'gap', a: pt(p[i + 2], cross), b: pt(q[i], cross), say: say(gap) })
  let k = mates.findIndex((o) => (o.front[i] + o.front[i + 2]) / 2 > (b[i] + b[i + 2]) / 2)
  if (k < 0) k = mates.length
  const [l2, l1, r1, r2] = [mates[k - 2], mates[k - 1], mates[k], mates[k + 1]]
  const centre = (o: Box) => (o[j] + o[j + 2]) / 2
  if (l1 && r1) {
    const gap = (r1.front[i] - l1.front[i + 2] - size) / 2
    if (gap > 0) out.push({ to: l1.front[i + 2] + gap + size / 2 + middle, rank: 1, guides: (_, me) => [mark(l1.front, me, centre(me), gap), mark(me, r1.front, centre(me), gap)] })
  }
  if (l1 && l2) {
    const gap = l1.front[i] - l2.front[i + 2]
    if (gap > 0) out.push({ to: l1.front[i + 2] + gap + size / 2 + middle, rank: 1, guides: (_, me) => [mark(l2.front, l1.front, centre(l1.front), gap), mark(l1.front, me, centre(me), gap)] })
  }
  if (r1 && r2) {
    const gap = r2.front[i] - r1.front[i + 2]
    if (gap > 0) out.push({ to: r1.front[i] - gap - size / 2 + middle, rank: 1, guides: (_, me) => [mark(me, r1.front, centre(me), gap), mark(r1.front, r2.front, centre(r1.front), gap)] })
  }
  return out
}

/** How far it is to what stands next on each side, or to the edge of the sheet. */
export function measured(b: Box, s: Still): Guide[] {
  const out: Guide[] = []
  for (const i of [0, 1] as const) {
    const j = (1 - i) as 0 | 1
    let [lo, hi] = [0, i === 0 ? s.width : s.height]
    for (const o of s.others) {
      if (o.front[j] >= b[j + 2] || o.front[j + 2] <= b[j]) continue
      if (o.front[i + 2] <= b[i] && o.front[i + 2] > lo) lo = o.front[i + 2]
      if (o.front[i] >= b[i + 2] && o.front[i] < hi) hi = o.front[i]
    }
    const c = (b[j] + b[j + 2]) / 2
    const pt = (v: number): [number, number] => (i === 0 ? [v, c] : [c, v])
    if (b[i] - lo > 0.05) out.push({ kind: 'measure', a: pt(lo), b: pt(b[i]), say: say(b[i] - lo) })
    if (hi - b[i + 2] > 0.05) out.push({ kind: 'measure', a: pt(b[i + 2]), b: pt(hi), say: say(hi - b[i + 2]) })
  }
  return out
}
