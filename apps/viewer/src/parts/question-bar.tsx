/** Which question the plots answer, and a field to add any signal. */
import { changeSheet } from '../state/location.js'
import type { SheetState } from '../state/route.js'
import { text } from '../words/text.js'
import { askedFault } from './fault-view.js'
import { presetWindow, type SheetModel } from './model.js'
import { PRESETS, type PresetId, plotsByUnit } from './presets.js'
import { SignalSearch } from './signal-search.js'

const IDS = Object.keys(PRESETS) as PresetId[]

interface QuestionProps {
  readonly model: SheetModel
  readonly state: SheetState
  /** Shows a fault in the plots, around its onset. */
  readonly onFault: (key: string) => void
}

/** The bar above the time sheet. */
export function QuestionBar({ model, state, onFault }: QuestionProps) {
  const own = state.plots !== null
  const fault = askedFault(model, state.open)
  const faultShown = own && fault !== null && state.open === fault.key
  const add = (id: string): void => {
    const signal = model.table.get(id)
    if (signal === undefined) return
    const plots = [...model.plots, ...plotsByUnit([{ id, unit: signal.unit }])]
    changeSheet({ plots, preset: null }, 'push')
  }
  return (
    <div class="question">
      <fieldset class="choices">
        <legend>{text.plots.question}</legend>
        {IDS.map((id) => (
          <button
            type="button"
            key={id}
            aria-pressed={!own && model.preset === id}
            onClick={() => changeSheet({ preset: id, plots: null, window: presetWindow(model, id) }, 'push')}
          >
            {text.plots.presets[id]}
          </button>
        ))}
        {fault !== null && (
          <button type="button" aria-pressed={faultShown} title={fault.name} onClick={() => onFault(fault.key)}>
            {text.plots.presets.fault(fault.spn, fault.fmi)}
          </button>
        )}
        {own && !faultShown && (
          <button type="button" aria-pressed="true">
            {state.open?.startsWith('finding:') ? text.plots.finding : text.plots.own}
          </button>
        )}
      </fieldset>
      <SignalSearch model={model} onAdd={add} />
    </div>
  )
}
