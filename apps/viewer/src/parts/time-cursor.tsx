/** The time cursor as a slider for keys and screen readers, and the buttons that move its window. */
import type { ComponentChildren } from 'preact'
import { type Axis, moved, zoomed } from '../state/axis.js'
import type { Window } from '../state/route.js'
import { formatDuration, formatTime, tickStep } from '../state/time.js'
import { isWhole } from '../state/window.js'
import { text } from '../words/text.js'

interface TimeCursorProps {
  readonly axis: Axis
  readonly window: Window
  readonly at: number | null
  /** What each signal is at the cursor. */
  readonly valueWords: readonly string[]
  /** Which keys do what, in words. */
  readonly help: string
  /** What the whole axis is called. */
  readonly whole: string
  readonly onAt: (at: number | null) => void
  readonly onWindow: (window: Window) => void
  /** Keys of a page beside those every cursor has; they go first. */
  readonly keys?: Readonly<Record<string, () => void>>
  /** Behind the cursor, behind the window's buttons, and behind the words on the window. */
  readonly buttons: ComponentChildren
  readonly choice?: ComponentChildren
  readonly words?: ComponentChildren
}

/** Share of the window for one key press, and with Shift. */
const STEP = 0.005
const BIG_STEP = 0.05

/** Seconds a time is written to, by how much is shown. */
export const fineness = (window: Window): number => tickStep(window.to - window.from, 400)

/** The bar. */
export function TimeCursor(props: TimeCursorProps) {
  const { axis, window, at, valueWords, help, whole: wholeWords, onAt, onWindow, buttons, choice, words } = props
  const span = window.to - window.from
  const fine = fineness(window)
  const whole = isWhole(window, axis.to - axis.from)
  const zoom = (factor: number): void => {
    const middle = at !== null && at > window.from && at < window.to ? (at - window.from) / span : 0.5
    onWindow(zoomed(axis, window, factor, middle))
  }
  const move = (share: number): void => onWindow(moved(axis, window, share))
  const step = (seconds: number): void => {
    const next = Math.min(axis.to, Math.max(axis.from, (at ?? (window.from + window.to) / 2) + seconds))
    onAt(next)
    if (next < window.from || next > window.to) move(seconds < 0 ? -0.5 : 0.5)
  }
  const keys: Readonly<Record<string, (big: boolean) => void>> = {
    ArrowLeft: (big) => step(-span * (big ? BIG_STEP : STEP)),
    ArrowRight: (big) => step(span * (big ? BIG_STEP : STEP)),
    ArrowUp: (big) => step(span * (big ? BIG_STEP : STEP)),
    ArrowDown: (big) => step(-span * (big ? BIG_STEP : STEP)),
    PageUp: () => move(-0.5),
    PageDown: () => move(0.5),
    Home: () => onAt(window.from),
    End: () => onAt(window.to),
    '+': () => zoom(0.5),
    '=': () => zoom(0.5),
    '-': () => zoom(2),
    Escape: () => onAt(null),
    ...props.keys,
  }
  const press = (event: KeyboardEvent): void => {
    const act = event.ctrlKey || event.metaKey || event.altKey ? undefined : keys[event.key]
    if (act === undefined) return
    event.preventDefault()
    act(event.shiftKey)
  }
  const said = at === null ? text.cursor.none : formatTime(at, fine)
  return (
    <div class="cursor-bar">
      <div
        class="cursor-field"
        role="slider"
        tabIndex={0}
        aria-label={text.cursor.label}
        aria-describedby="cursor-help"
        aria-valuemin={axis.from}
        aria-valuemax={axis.to}
        aria-valuenow={at ?? window.from}
        aria-valuetext={at === null ? said : [said, ...valueWords].join('; ')}
        onKeyDown={press}
      >
        <span class="cursor-name">{text.cursor.at}</span>
        <strong>{said}</strong>
      </div>
      <p id="cursor-help" class="hidden">
        {help}
      </p>
      {buttons}
      <fieldset class="window-buttons">
        <legend class="hidden">{text.zoom.label}</legend>
        <button
          type="button"
          disabled={window.from <= axis.from}
          aria-label={text.zoom.earlier}
          onClick={() => move(-0.5)}
        >
          ◂
        </button>
        <button type="button" aria-label={text.zoom.in} onClick={() => zoom(0.5)}>
          +
        </button>
        <button type="button" disabled={whole} aria-label={text.zoom.out} onClick={() => zoom(2)}>
          −
        </button>
        <button type="button" disabled={window.to >= axis.to} aria-label={text.zoom.later} onClick={() => move(0.5)}>
          ▸
        </button>
        <button type="button" disabled={whole} onClick={() => onWindow(axis)}>
          {wholeWords}
        </button>
      </fieldset>
      {choice}
      <p class="window-words">
        {text.zoom.shown(formatTime(window.from, fine), formatTime(window.to, fine), formatDuration(span))}
        {words}
      </p>
    </div>
  )
}
