/** Windows on an axis that begins anywhere: that of two runs counts from an event both have. Seconds. */
import type { Window } from './route.js'
import { clampWindow, moveWindow, zoomWindow } from './window.js'

/** The axis' ends. */
export type Axis = Window

/** Windows are moved as on the axis of one run, which begins at zero. */
const onAxis = (axis: Axis, window: Window, change: (window: Window, length: number) => Window): Window => {
  const moved = change({ from: window.from - axis.from, to: window.to - axis.from }, axis.to - axis.from)
  return { from: moved.from + axis.from, to: moved.to + axis.from }
}

/** A window inside the axis. */
export const clamped = (axis: Axis, window: Window): Window => onAxis(axis, window, clampWindow)

/** A window moved by a share of its length. */
export const moved = (axis: Axis, window: Window, share: number): Window =>
  onAxis(axis, window, (inside, length) => moveWindow(inside, share, length))

/** A window so many times as long; what lies at `place` (0 left, 1 right) stays there. */
export const zoomed = (axis: Axis, window: Window, factor: number, place: number): Window =>
  onAxis(axis, window, (inside, length) => zoomWindow(inside, factor, place, length))
