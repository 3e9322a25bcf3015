/** Finds a signal of the recording by name, SPN or group, and adds it as a plot. */
import type { SignalInfo } from '@firstcrank/feed'
import * as combobox from '@zag-js/combobox'
import { normalizeProps, useMachine } from '@zag-js/preact'
import { useMemo, useState } from 'preact/hooks'
import { searchSignals, signalId } from '../recording/signals.js'
import { addressText } from '../words/labels.js'
import { text } from '../words/text.js'
import type { SheetModel } from './model.js'
import { useTyping } from './use-typing.js'

/** Suggestions shown. */
const MOST = 40

/** The search field. */
export function SignalSearch({ model, onAdd }: { readonly model: SheetModel; readonly onAdd: (id: string) => void }) {
  const { info } = model
  const [words, setWords] = useState('')
  const found = useMemo(() => searchSignals(info.signals, words, MOST), [info, words])
  const collection = useMemo(
    () =>
      combobox.collection<SignalInfo>({
        items: [...found],
        itemToValue: (signal) => signalId(info, signal),
        itemToString: (signal) => signal.name,
      }),
    [found, info],
  )
  const service = useMachine(combobox.machine as combobox.Machine<SignalInfo>, {
    id: 'signal-search',
    collection,
    inputValue: words,
    value: [],
    selectionBehavior: 'clear',
    openOnClick: true,
    inputBehavior: 'autohighlight',
    positioning: { placement: 'bottom-start', sameWidth: false },
    onInputValueChange: ({ inputValue, reason }) => {
      if (reason !== 'input-change') typing.end()
      setWords(inputValue)
    },
    onValueChange: ({ value: [id] }) => {
      if (id === undefined) return
      onAdd(id)
      typing.end()
      setWords('')
    },
  })
  const typing = useTyping(words)
  const api = combobox.connect(service, normalizeProps)
  return (
    <div {...api.getRootProps()} class="search">
      {/* biome-ignore lint/a11y/noLabelWithoutControl: the machine ties it to the field */}
      <label {...api.getLabelProps()}>{text.plots.add}</label>
      <div {...api.getControlProps()}>
        <input
          {...(api.getInputProps() as Record<string, unknown>)}
          {...typing.field}
          placeholder={text.plots.addHint}
        />
      </div>
      <div {...api.getPositionerProps()} class="search-place">
        {api.open && (
          <ul {...api.getContentProps()} class="search-list">
            {found.length === 0 && <li class="search-none">{text.plots.addNone}</li>}
            {found.map((signal) => (
              <li key={signalId(info, signal)} {...api.getItemProps({ item: signal })}>
                <span class="search-name">{signal.name}</span>
                <span class="search-detail">
                  SPN {signal.spn} · {signal.group} · {addressText(signal.sa)}
                  {signal.unit === null ? '' : ` · ${signal.unit}`}
                  {signal.valid ? '' : ` · ${text.plots.noValue}`}
                </span>
              </li>
            ))}
          </ul>
        )}
      </div>
    </div>
  )
}
