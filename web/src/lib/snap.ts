import type { ControlData } from './types'

/** A line that is shown while dragging: what the thing in hand lines up with, or how far it is from a neighbour. */
export interface Guide {
  a: [number, number]
  b: [number, number]
  say: string
}

const near = 1.2 // mm

/** The shift that a drag means: onto the half millimetre, or onto the level or the plumb line of another control's middle. */
export function snapped(c: ControlData, dx: number, dy: number, all: ControlData[], grid: boolean): { dx: number; dy: number; guides: Guide[] } {
  const guides: Guide[] = []
  if (grid) {
    dx = Math.round((c.x + dx) * 2) / 2 - c.x
    dy = Math.round((c.y + dy) * 2) / 2 - c.y
  }
  let best: ControlData | undefined
  let level: ControlData | undefined
  for (const o of all) {
    if (o.name === c.name) continue
    if (Math.abs(c.x + dx - o.x) < near && (!best || Math.abs(c.y + dy - o.y) < Math.abs(c.y + dy - best.y))) best = o
    if (Math.abs(c.y + dy - o.y) < near && (!level || Math.abs(c.x + dx - o.x) < Math.abs(c.x + dx - level.x))) level = o
  }
  if (best && grid) dx = best.x - c.x
  if (level && grid) dy = level.y - c.y
  const at: [number, number] = [c.x + dx, c.y + dy]
  if (best) guides.push({ a: at, b: [best.x, best.y], say: Math.abs(at[1] - best.y).toFixed(1) })
  if (level) guides.push({ a: at, b: [level.x, level.y], say: Math.abs(at[0] - level.x).toFixed(1) })
  if (!best && !level) {
    let n: ControlData | undefined
    for (const o of all) if (o.name !== c.name && (!n || dist(o, at) < dist(n, at))) n = o
    if (n) guides.push({ a: at, b: [n.x, n.y], say: dist(n, at).toFixed(1) })
  }
  return { dx, dy, guides }
}

const dist = (o: ControlData, at: [number, number]) => Math.hypot(o.x - at[0], o.y - at[1])
