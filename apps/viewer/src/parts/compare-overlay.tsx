/** Two runs on one axis, laid on an event both have: phases, faults and plots with one cursor. */
import type { Comparison, RunSide } from '@firstcrank/analysis'
import { useCallback, useEffect, useMemo, useRef, useState } from 'preact/hooks'
import { watchGestures } from '../charts/gestures.js'
import { GUTTER } from '../charts/plot.js'
import type { Source } from '../recording/open.js'
import { signalId } from '../recording/signals.js'
import { clamped, moved, zoomed } from '../state/axis.js'
import type { UnitChoice } from '../state/choices.js'
import { changeCompare } from '../state/location.js'
import type { CompareState, Window } from '../state/route.js'
import { useSettings } from '../state/settings.js'
import { compareText } from '../words/compare-text.js'
import { text } from '../words/text.js'
import { type AxisEvent, axisEvents, axisOf, chosenEvent } from './compare-axis.js'
import { LineSample } from './compare-chooser.js'
import { type CompareSide, type CompareSides, stretchHref, timeIn } from './compare-model.js'
import { ComparePlot, type PlotPair, valueAt } from './compare-plot.js'
import { allSignals, keyedPairs, pairKey, presetPairs, type SignalPair } from './compare-signals.js'
import { CompareSpine } from './compare-spine.js'
import { presetWindow, type SheetModel } from './model.js'
import { plotSignals } from './plot-signals.js'
import { PRESETS, type PresetId } from './presets.js'
import { SignalSearch } from './signal-search.js'
import { TimeCursor } from './time-cursor.js'
import { useWidth } from './use-width.js'
import { useMoment, useWindow } from './use-window.js'

const words = compareText.overlay
const IDS = Object.keys(PRESETS) as PresetId[]

interface OverlayProps {
  readonly comparison: Comparison
  readonly sides: CompareSides
  readonly sources: Readonly<Record<RunSide, Source | null>>
  readonly state: CompareState
}

/** The part of the page. */
export function CompareOverlay({ comparison, sides, sources, state }: OverlayProps) {
  const { units } = useSettings()
  const events = useMemo(() => axisEvents(comparison, sides), [comparison, sides])
  const event = chosenEvent(events, state.align)
  const preset = presetOf(state)
  const { pairs, missing } = useMemo(
    () => (preset === null ? { pairs: keyedPairs(state.plots ?? [], sides), missing: [] } : presetPairs(preset, sides)),
    [preset, state.plots, sides],
  )
  return (
    <section aria-labelledby="overlay-title">
      <h2 id="overlay-title">{words.title}</h2>
      <EventChoice events={events} chosen={event} sides={sides} />
      <PresetBar preset={preset} pairs={pairs} event={event} sides={sides} />
      <Plots
        event={event}
        pairs={pairs}
        sides={sides}
        sources={sources}
        state={state}
        units={units}
        removable={state.plots !== null}
      />
      {pairs.length === 0 && <p class="note">{text.plots.none}</p>}
      {missing.length > 0 && <p class="note">{words.missing(missing.join(', '))}</p>}
    </section>
  )
}

function presetOf({ plots, preset }: CompareState): PresetId | null {
  if (plots !== null) return null
  return preset !== null && preset in PRESETS ? (preset as PresetId) : 'vitals'
}

interface EventProps {
  readonly events: readonly AxisEvent[]
  readonly chosen: AxisEvent
  readonly sides: CompareSides
}

/** Events that stand side by side; more are a list to choose from. */
const FEW_EVENTS = 6

function EventChoice({ events, chosen, sides }: EventProps) {
  const [before, after] = [timeIn(sides.before, chosen.before), timeIn(sides.after, chosen.after)]
  const choose = (align: string): void => changeCompare({ align, window: null, at: null }, 'push')
  return (
    <div class="align-choice">
      {events.length <= FEW_EVENTS ? (
        <fieldset class="choices">
          <legend>{words.align}</legend>
          {events.map(({ key, title }) => (
            <button type="button" key={key} aria-pressed={key === chosen.key} onClick={() => choose(key)}>
              {title}
            </button>
          ))}
        </fieldset>
      ) : (
        <label class="field">
          {words.align}
          <select value={chosen.key} onChange={(event) => choose(event.currentTarget.value)}>
            {events.map(({ key, title }) => (
              <option key={key} value={key}>
                {title}
              </option>
            ))}
          </select>
        </label>
      )}
      <p class="faint">{events.length === 1 ? words.noEvents : words.place(chosen.title, before, after)}</p>
    </div>
  )
}

interface PresetProps {
  readonly preset: PresetId | null
  readonly pairs: readonly SignalPair[]
  readonly event: AxisEvent
  readonly sides: CompareSides
}

function PresetBar({ preset, pairs, event, sides }: PresetProps) {
  // The search wants one recording: that of both, by signals.
  const both = useMemo<SheetModel>(() => {
    const { model } = sides.after
    return { ...model, info: { ...model.info, signals: [...allSignals(sides)] } }
  }, [sides])
  const add = (id: string): void => {
    const found = both.info.signals.find((signal) => signalId(both.info, signal) === id)
    if (found === undefined) return
    changeCompare({ plots: [...new Set([...pairs.map(({ key }) => key), pairKey(found)])], preset: null }, 'push')
  }
  return (
    <div class="question">
      <fieldset class="choices">
        <legend>{text.plots.question}</legend>
        {IDS.map((id) => (
          <button
            type="button"
            key={id}
            aria-pressed={preset === id}
            onClick={() => changeCompare({ preset: id, plots: null, window: startWindow(id, event, sides) }, 'push')}
          >
            {id === 'vitals' ? words.vitals : text.plots.presets[id]}
          </button>
        ))}
        {preset === null && (
          <button type="button" aria-pressed="true">
            {text.plots.own}
          </button>
        )}
      </fieldset>
      <SignalSearch model={both} onAdd={add} />
    </div>
  )
}

/** The stretch a preset is about, in both runs; null is all of both. */
function startWindow(preset: PresetId, event: AxisEvent, { before, after }: CompareSides): Window | null {
  const own = ({ model }: CompareSide, at: number): readonly Window[] => {
    const window = presetWindow(model, preset)
    const shift = (model.zero - at) / 1e6
    return window === null ? [] : [{ from: window.from + shift, to: window.to + shift }]
  }
  const found = [...own(before, event.before), ...own(after, event.after)]
  if (found.length === 0) return null
  return { from: Math.min(...found.map(({ from }) => from)), to: Math.max(...found.map(({ to }) => to)) }
}

interface PlotsProps {
  readonly event: AxisEvent
  readonly pairs: readonly SignalPair[]
  readonly sides: CompareSides
  readonly sources: OverlayProps['sources']
  readonly state: CompareState
  readonly units: UnitChoice
  readonly removable: boolean
}

/** Height of one plot, by how many there are, in pixels. */
const plotHeight = (count: number): number => (count <= 2 ? 200 : count <= 4 ? 150 : 124)

function Plots({ event, pairs, sides, sources, state, units, removable }: PlotsProps) {
  const { theme } = useSettings()
  const [host, width] = useWidth()
  const [hover, setHover] = useState<number | null>(null)
  const [chosen, setChosen] = useState<readonly [number, number] | null>(null)
  const axis = axisOf(event, sides)
  const window = clamped(axis, state.window ?? axis)
  const track = Math.max(1, width - GUTTER.left - GUTTER.right)
  const plots = useMemo(() => pairs.map((pair) => plotPair(pair, sides, units)), [pairs, sides, units])
  const live = useRef({ axis, window })
  live.current = { axis, window }
  const at = hover === null ? state.at : window.from + (window.to - window.from) * hover

  const asked = {
    before: useMemo(() => plots.flatMap(({ before }) => before ?? []), [plots]),
    after: useMemo(() => plots.flatMap(({ after }) => after ?? []), [plots]),
  }
  const version = ({ model: { info } }: CompareSide): string => `${info.epoch}/${info.complete}/${info.to}`
  const columns = {
    before: useWindow(sources.before, asked.before, window, event.before, track, version(sides.before)),
    after: useWindow(sources.after, asked.after, window, event.after, track, version(sides.after)),
  }
  const values = {
    before: useMoment(sources.before, asked.before, event.before, within(sides.before, event.before, at)),
    after: useMoment(sources.after, asked.after, event.after, within(sides.after, event.after, at)),
  }
  const recorded = {
    before: at === null || within(sides.before, event.before, at) !== null,
    after: at === null || within(sides.after, event.after, at) !== null,
  }

  const setWindow = useCallback((next: Window) => {
    const { axis: ends } = live.current
    live.current = { axis: ends, window: next }
    changeCompare({ window: next.to - next.from >= (ends.to - ends.from) * 0.999 ? null : next })
  }, [])
  useEffect(() => {
    const element = host.current
    if (element === null) return
    const timeAt = (place: number): number => {
      const { from, to } = live.current.window
      return from + (to - from) * place
    }
    return watchGestures(
      element,
      { left: GUTTER.left, right: GUTTER.right, wheel: false },
      {
        hover: setHover,
        pick: (place) => changeCompare({ at: timeAt(place) }),
        choosing: setChosen,
        choose: ([from, to]) => setWindow(clamped(live.current.axis, { from: timeAt(from), to: timeAt(to) })),
        move: (share) => setWindow(moved(live.current.axis, live.current.window, share)),
        zoom: (factor, place) => setWindow(zoomed(live.current.axis, live.current.window, factor, place)),
      },
    )
  }, [setWindow])

  const left = (time: number): string => `${GUTTER.left + ((time - window.from) / (window.to - window.from)) * track}px`
  const inside = (time: number | null): time is number => time !== null && time >= window.from && time <= window.to
  const failed = columns.before.failed ?? columns.after.failed
  return (
    <div class="time-sheet">
      <TimeCursor
        axis={axis}
        window={window}
        at={at}
        valueWords={plots.map((plot) => valueAt(plot, values, recorded))}
        help={compareText.overlay.help}
        whole={compareText.overlay.whole}
        onAt={(time) => changeCompare({ at: time })}
        onWindow={setWindow}
        buttons={
          <button type="button" disabled={at === null} onClick={() => changeCompare({ at: null })}>
            {text.cursor.clear}
          </button>
        }
      />
      <div class="compare-legend">
        {(['before', 'after'] as const).map((side) => (
          <a
            key={side}
            class="see-link"
            href={stretchHref(
              sides[side],
              event[side] + window.from * 1e6,
              event[side] + window.to * 1e6,
              pairs.flatMap((pair) => {
                const signal = pair[side]
                return signal === null ? [] : [signalId(sides[side].model.info, signal)]
              }),
            )}
          >
            <LineSample side={side} /> {words.openAt[side]}
          </a>
        ))}
        <span class="fault-sample">
          <span class="on cleared" /> {words.fault}
        </span>
      </div>
      <div ref={host} class="stack">
        {width > 0 && <CompareSpine event={event} sides={sides} window={window} width={width} />}
        {width > 0 &&
          plots.map((plot) => (
            <ComparePlot
              key={plot.key}
              plot={plot}
              columns={columns}
              zeros={event}
              values={values}
              recorded={recorded}
              cursorSet={at !== null}
              window={window}
              width={width}
              height={plotHeight(plots.length)}
              theme={theme}
              onRemove={
                removable
                  ? () =>
                      changeCompare({ plots: pairs.map(({ key }) => key).filter((key) => key !== plot.key) }, 'push')
                  : null
              }
            />
          ))}
        {inside(0) && <div class="cursor-line event-line" style={{ left: left(0) }} />}
        {inside(at) && <div class="cursor-line" style={{ left: left(at) }} />}
        {chosen !== null && (
          <div
            class="chosen"
            style={{ left: `${GUTTER.left + chosen[0] * track}px`, width: `${(chosen[1] - chosen[0]) * track}px` }}
          />
        )}
      </div>
      {failed !== null && (
        <p class="note" role="alert">
          {failed}
        </p>
      )}
    </div>
  )
}

/** The cursor where a run was recorded; null beyond its ends, where its last message says nothing. */
function within({ model }: CompareSide, zero: number, at: number | null): number | null {
  if (at === null) return null
  const own = at + (zero - model.zero) / 1e6
  return own >= 0 && own <= model.length ? at : null
}

function plotPair({ key, before, after }: SignalPair, sides: CompareSides, units: UnitChoice): PlotPair {
  const [was] =
    before === null ? [] : plotSignals(sides.before.model, [signalId(sides.before.model.info, before)], units)
  const [is] = after === null ? [] : plotSignals(sides.after.model, [signalId(sides.after.model.info, after)], units)
  return { key, before: was ?? null, after: is ?? null }
}
