/** The time cursor as a slider for keys and screen readers, the mark, and the window's buttons. */
import { changeSheet } from '../state/location.js'
import type { Window } from '../state/route.js'
import { formatDuration, formatTime, tickStep } from '../state/time.js'
import { isWhole, moveWindow, windowAround, zoomWindow } from '../state/window.js'
import { text } from '../words/text.js'
import type { SheetModel } from './model.js'
import { phaseTitle } from './time-spine.js'

interface CursorBarProps {
  readonly model: SheetModel
  readonly at: number | null
  readonly mark: number | null
  /** What each signal is at the cursor. */
  readonly valueWords: readonly string[]
  /** What is pinned at the cursor. */
  readonly notes: readonly string[]
  readonly writing: boolean
  /** Opens the line for a note, or closes it; null where none can be written now. */
  readonly onWrite: (() => void) | null
  readonly onWindow: (window: Window) => void
}

/** Share of the window for one key press, and with Shift. */
const STEP = 0.005
const BIG_STEP = 0.05

/** The bar. */
export function CursorBar({ model, at, mark, valueWords, notes, writing, onWrite, onWindow }: CursorBarProps) {
  const { window, length } = model
  const span = window.to - window.from
  const fine = tickStep(span, 400)
  const place = at ?? window.from
  const whole = isWhole(window, length)
  const zoom = (factor: number): void => {
    const middle = at !== null && at > window.from && at < window.to ? (at - window.from) / span : 0.5
    onWindow(zoomWindow(window, factor, middle, length))
  }
  const move = (share: number): void => onWindow(moveWindow(window, share, length))
  const step = (seconds: number): void => {
    const next = Math.min(length, Math.max(0, (at ?? (window.from + window.to) / 2) + seconds))
    changeSheet({ at: next })
    if (next < window.from || next > window.to) move(seconds < 0 ? -0.5 : 0.5)
  }
  const keys: Readonly<Record<string, (big: boolean) => void>> = {
    ArrowLeft: (big) => step(-span * (big ? BIG_STEP : STEP)),
    ArrowRight: (big) => step(span * (big ? BIG_STEP : STEP)),
    ArrowUp: (big) => step(span * (big ? BIG_STEP : STEP)),
    ArrowDown: (big) => step(-span * (big ? BIG_STEP : STEP)),
    PageUp: () => move(-0.5),
    PageDown: () => move(0.5),
    Home: () => changeSheet({ at: window.from }),
    End: () => changeSheet({ at: window.to }),
    '+': () => zoom(0.5),
    '=': () => zoom(0.5),
    '-': () => zoom(2),
    m: () => changeSheet({ mark: at }),
    n: () => onWrite?.(),
    Escape: () => changeSheet({ at: null, mark: null }),
  }
  const press = (event: KeyboardEvent): void => {
    const act = event.ctrlKey || event.metaKey || event.altKey ? undefined : keys[event.key]
    if (act === undefined) return
    event.preventDefault()
    act(event.shiftKey)
  }
  return (
    <div class="cursor-bar">
      <div
        class="cursor-field"
        role="slider"
        tabIndex={0}
        aria-label={text.cursor.label}
        aria-describedby="cursor-help"
        aria-valuemin={0}
        aria-valuemax={length}
        aria-valuenow={place}
        aria-valuetext={at === null ? text.cursor.none : [formatTime(at, fine), ...valueWords].join('; ')}
        onKeyDown={press}
      >
        <span class="cursor-name">{text.cursor.at}</span>
        <strong>{at === null ? text.cursor.none : formatTime(at, fine)}</strong>
      </div>
      <p id="cursor-help" class="hidden">
        {text.cursor.help}
      </p>
      <button type="button" disabled={at === null} onClick={() => changeSheet({ mark: at })}>
        {text.cursor.mark}
      </button>
      <button
        type="button"
        disabled={mark === null && at === null}
        onClick={() => changeSheet({ mark: null, at: null })}
      >
        {text.cursor.clear}
      </button>
      <button
        type="button"
        disabled={onWrite === null}
        aria-label={text.pins.write}
        title={text.pins.write}
        aria-expanded={writing && onWrite !== null}
        onClick={() => onWrite?.()}
      >
        ✎
      </button>
      <fieldset class="window-buttons">
        <legend class="hidden">{text.zoom.label}</legend>
        <button type="button" disabled={window.from <= 0} aria-label={text.zoom.earlier} onClick={() => move(-0.5)}>
          ◂
        </button>
        <button type="button" aria-label={text.zoom.in} onClick={() => zoom(0.5)}>
          +
        </button>
        <button type="button" disabled={whole} aria-label={text.zoom.out} onClick={() => zoom(2)}>
          −
        </button>
        <button type="button" disabled={window.to >= length} aria-label={text.zoom.later} onClick={() => move(0.5)}>
          ▸
        </button>
        <button type="button" disabled={whole} onClick={() => onWindow({ from: 0, to: length })}>
          {text.zoom.whole}
        </button>
      </fieldset>
      <PhaseChoice model={model} onWindow={onWindow} />
      <p class="window-words">
        {text.zoom.shown(formatTime(window.from, fine), formatTime(window.to, fine), formatDuration(span))}
        {mark !== null && (
          <>
            {' · '}
            {text.cursor.markHere} <strong>{formatTime(mark, fine)}</strong>
            {at !== null && at !== mark && <>, {text.cursor.between(formatDuration(at - mark))}</>}
          </>
        )}
        {notes.map((note) => (
          <span key={note}>
            {' · '}✎ {note}
          </span>
        ))}
      </p>
    </div>
  )
}

/** Goes to a phase by its name: many are too short on the band to be pointed at. */
function PhaseChoice({ model, onWindow }: Pick<CursorBarProps, 'model' | 'onWindow'>) {
  const { phases, zero, length } = model
  if (phases.length === 0) return null
  const choose = (event: Event & { currentTarget: HTMLSelectElement }): void => {
    const phase = phases[Number(event.currentTarget.value)]
    event.currentTarget.value = ''
    if (phase !== undefined) onWindow(windowAround((phase.from - zero) / 1e6, (phase.to - zero) / 1e6, length))
  }
  return (
    <select aria-label={text.zoom.phase} value="" onChange={choose}>
      <option value="">{text.zoom.phase}</option>
      {phases.map((phase, index) => (
        <option key={`${phase.from}${phase.kind}`} value={index}>
          {phaseTitle(phase, zero)}
        </option>
      ))}
    </select>
  )
}
