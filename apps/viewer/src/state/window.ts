/** Moving and zooming a window on the time axis, within the recording. Seconds. */
import type { Window } from './route.js'

/** Shortest stretch that can be shown: a few messages of a full bus. */
const SHORTEST = 0.002

/** A window inside the recording, no shorter than what can be shown. */
export function clampWindow({ from, to }: Window, length: number): Window {
  const span = Math.min(length, Math.max(SHORTEST, to - from))
  const middle = (from + to) / 2
  const start = Math.min(Math.max(0, to - from >= SHORTEST ? from : middle - span / 2), length - span)
  return { from: start, to: start + span }
}

/** The window `factor` times as long; what lies at `place` (0 left, 1 right) stays there. */
export function zoomWindow(window: Window, factor: number, place: number, length: number): Window {
  const span = window.to - window.from
  const next = Math.min(length, Math.max(SHORTEST, span * factor))
  const from = window.from + (span - next) * place
  return clampWindow({ from, to: from + next }, length)
}

/** The window moved by a share of its length. */
export function moveWindow(window: Window, share: number, length: number): Window {
  const step = (window.to - window.from) * share
  return clampWindow({ from: window.from + step, to: window.to + step }, length)
}

/** A window that shows a stretch with room on both sides. */
export function windowAround(from: number, to: number, length: number): Window {
  const room = Math.max((to - from) * 0.35, Math.min(2, length / 20))
  return clampWindow({ from: from - room, to: to + room }, length)
}

/** Whether a window is as good as the whole recording. */
export function isWhole(window: Window, length: number): boolean {
  return window.to - window.from >= length * 0.999
}
