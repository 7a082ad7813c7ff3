import { desk, type Carried } from './desk.svelte'

/**
 * Carries a thing to the face by pointer: mouse, pen or finger. It begins when the pointer has gone some way, ends where it is let go, and
 * Escape puts it back. What is touched to carry it needs touch-action: none.
 */
export function carry(e: PointerEvent, what: Carried) {
  if (e.button !== 0 || desk.carried) return
  const from = [e.clientX, e.clientY]
  let begun = false
  const end = () => {
    removeEventListener('pointermove', move)
    removeEventListener('pointerup', up)
    removeEventListener('pointercancel', off)
    removeEventListener('keydown', key, true)
    document.documentElement.classList.remove('carrying')
    desk.carried = desk.carriedAt = null
  }
  const move = (m: PointerEvent) => {
    if (m.pointerId !== e.pointerId) return
    if (!begun && Math.hypot(m.clientX - from[0], m.clientY - from[1]) < 6) return
    if (!begun) {
      begun = true
      desk.carried = what
      document.documentElement.classList.add('carrying')
    }
    m.preventDefault()
    desk.carriedAt = desk.landing?.over(m) ? null : [m.clientX, m.clientY]
  }
  const up = (m: PointerEvent) => {
    if (m.pointerId !== e.pointerId) return
    if (begun) {
      addEventListener('click', swallow, { capture: true, once: true })
      setTimeout(() => removeEventListener('click', swallow, true))
      desk.landing?.drop(m, what)
    }
    end()
  }
  const off = () => {
    desk.landing?.leave()
    end()
  }
  const key = (k: KeyboardEvent) => {
    if (k.key !== 'Escape' || !begun) return
    k.stopPropagation()
    off()
  }
  addEventListener('pointermove', move)
  addEventListener('pointerup', up)
  addEventListener('pointercancel', off)
  addEventListener('keydown', key, true)
}

/** What was carried was not pressed. */
function swallow(e: Event) {
  e.stopPropagation()
  e.preventDefault()
}
