/** Which question the plots answer, and a field to add any signal. */
import { changeSheet } from '../state/location.js'
import type { SheetState } from '../state/route.js'
import { text } from '../words/text.js'
import { presetWindow, type SheetModel } from './model.js'
import { PRESETS, type PresetId, plotsByUnit } from './presets.js'
import { SignalSearch } from './signal-search.js'

const IDS = Object.keys(PRESETS) as PresetId[]

/** The bar above the time sheet. */
export function QuestionBar({ model, state }: { readonly model: SheetModel; readonly state: SheetState }) {
  const own = state.plots !== null
  const ownName = state.open === null ? text.plots.own : text.plots.presets.fault
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
        {own && (
          <button type="button" aria-pressed="true">
            {ownName}
          </button>
        )}
      </fieldset>
      <SignalSearch model={model} onAdd={add} />
    </div>
  )
}
