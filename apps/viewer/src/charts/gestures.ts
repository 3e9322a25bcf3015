/**
 * Hands on a time axis: drag chooses a stretch, touch moves and pinches, the wheel zooms with a
 * modifier (or freely, where nothing needs to scroll). Buttons and keys do the same elsewhere.
 */

/** What hands can do. Places are shares of the axis, 0 left and 1 right. */
export interface GestureSink {
  /** The pointer is over this place; null where it left. */
  hover(place: number | null): void
  /** A place was clicked or tapped. */
  pick(place: number): void
  /** A stretch is being chosen, then was chosen; null where it was given up. */
  choosing(stretch: readonly [number, number] | null): void
  choose(stretch: readonly [number, number]): void
  /** The axis moves by this share of its length. */
  move(share: number): void
  /** The stretch shown becomes this many times as long, around a place. */
  zoom(factor: number, place: number): void
}

/** How an element takes gestures. */
export interface GestureOptions {
  /** Pixels left and right that are not axis. */
  readonly left: number
  readonly right: number
  /** Whether the bare wheel zooms. */
  readonly wheel: boolean
}

/** Movement, in pixels, that still counts as a click. */
const CLICK = 4
/** Zoom of one notch of a wheel (about 100 pixels). */
const WHEEL_FACTOR = 1.25

/** Watches an element. Returns how to stop. */
export function watchGestures(element: HTMLElement, options: GestureOptions, sink: GestureSink): () => void {
  const pointers = new Map<number, { x: number; type: string }>()
  let start: { x: number; y: number; shift: boolean } | undefined
  let pinch: { distance: number; middle: number } | undefined
  let moved = false

  const width = (): number => Math.max(1, element.clientWidth - options.left - options.right)
  const place = (clientX: number): number =>
    Math.min(1, Math.max(0, (clientX - element.getBoundingClientRect().left - options.left) / width()))
  const onControl = (event: Event): boolean =>
    event.target instanceof Element && event.target.closest('button, a, summary, input') !== null

  const down = (event: PointerEvent): void => {
    if (event.button !== 0 || onControl(event)) return
    pointers.set(event.pointerId, { x: event.clientX, type: event.pointerType })
    start = { x: event.clientX, y: event.clientY, shift: event.shiftKey }
    moved = false
    pinch = undefined
  }
  const move = (event: PointerEvent): void => {
    const pointer = pointers.get(event.pointerId)
    if (pointer === undefined) {
      // Over a button the hand is about to press it, not to read a value.
      if (event.pointerType === 'mouse') sink.hover(onControl(event) ? null : place(event.clientX))
      return
    }
    const before = pointer.x
    pointer.x = event.clientX
    if (pointers.size === 2) return spread()
    if (start === undefined) return
    if (!moved && Math.abs(event.clientX - start.x) <= CLICK) return
    if (!moved) element.setPointerCapture(event.pointerId)
    moved = true
    if (pointer.type === 'mouse' && !start.shift) {
      sink.hover(place(event.clientX))
      sink.choosing(ordered(place(start.x), place(event.clientX)))
    } else sink.move((before - event.clientX) / width())
  }
  const spread = (): void => {
    const [a, b] = [...pointers.values()]
    if (a === undefined || b === undefined) return
    const next = { distance: Math.max(12, Math.abs(a.x - b.x)), middle: (a.x + b.x) / 2 }
    if (pinch !== undefined) {
      sink.zoom(pinch.distance / next.distance, place(next.middle))
      sink.move((pinch.middle - next.middle) / width())
    }
    pinch = next
    moved = true
  }
  const up = (event: PointerEvent): void => {
    const pointer = pointers.get(event.pointerId)
    if (!pointers.delete(event.pointerId) || pointer === undefined || start === undefined) return
    if (pointers.size > 0) {
      pinch = undefined
      start = undefined
      return
    }
    if (!moved) sink.pick(place(event.clientX))
    else if (pointer.type === 'mouse' && !start.shift) {
      sink.choosing(null)
      sink.choose(ordered(place(start.x), place(event.clientX)))
    }
    start = undefined
  }
  const cancel = (event: PointerEvent): void => {
    pointers.delete(event.pointerId)
    sink.choosing(null)
    start = undefined
  }
  const leave = (): void => {
    if (pointers.size === 0) sink.hover(null)
  }
  const wheel = (event: WheelEvent): void => {
    const sideways = Math.abs(event.deltaX) > Math.abs(event.deltaY)
    if (!sideways && !options.wheel && !event.ctrlKey && !event.altKey && !event.metaKey) return
    event.preventDefault()
    if (sideways) sink.move(event.deltaX / width())
    else sink.zoom(WHEEL_FACTOR ** (event.deltaY / 100), place(event.clientX))
  }
  const listeners = [
    ['pointerdown', down],
    ['pointermove', move],
    ['pointerup', up],
    ['pointercancel', cancel],
    ['pointerleave', leave],
    ['wheel', wheel],
  ] as readonly (readonly [string, (event: never) => void])[]
  for (const [name, listener] of listeners) {
    element.addEventListener(name, listener as EventListener, { passive: false })
  }
  return () => {
    for (const [name, listener] of listeners) element.removeEventListener(name, listener as EventListener)
  }
}

function ordered(a: number, b: number): readonly [number, number] {
  return a <= b ? [a, b] : [b, a]
}
