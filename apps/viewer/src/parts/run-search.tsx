/** Chooses a run from all there are: a list under a field that searches it. */
import * as combobox from '@zag-js/combobox'
import { normalizeProps, useMachine } from '@zag-js/preact'
import { useEffect, useMemo, useState } from 'preact/hooks'
import { compareText } from '../words/compare-text.js'
import { listChoices, type RunChoice, type RunChoices, titleOfRun } from './run-choices.js'
import { useTyping } from './use-typing.js'

const words = compareText.choose
const NONE: RunChoices = { runs: [], more: 0 }
/** Milliseconds that typing has to rest. */
const TYPING = 150

interface SearchProps {
  /** What the field is called; a short name that no other field on the page has. */
  readonly label: string
  readonly name: string
  /** The run chosen. */
  readonly id: string | null
  /** Grows when the runs may have become others. */
  readonly version: string
  readonly onChoose: (id: string) => void
}

/** What the machine gives the field; its focus comes by this name. */
type InputProps = Record<string, unknown> & { readonly onfocusin?: (event: FocusEvent) => void }

/** The field. */
export function RunSearch({ label, name, id, version, onChoose }: SearchProps) {
  // What is typed, until a run is chosen or the list is left.
  const [typed, setTyped] = useState<string | null>(null)
  const title = useTitle(id, version)
  const { runs, more, failed } = useChoices(typed ?? '', version)
  const rest = (): void => {
    typing.end()
    setTyped(null)
  }
  const collection = useMemo(
    () =>
      combobox.collection<RunChoice>({
        items: [...runs],
        itemToValue: (run) => run.id,
        itemToString: (run) => run.title,
      }),
    [runs],
  )
  const service = useMachine(combobox.machine as combobox.Machine<RunChoice>, {
    id: `run-search-${name}`,
    collection,
    inputValue: typed ?? title,
    value: id === null ? [] : [id],
    selectionBehavior: 'preserve',
    openOnClick: true,
    inputBehavior: 'autohighlight',
    positioning: { placement: 'bottom-start', sameWidth: false },
    onInputValueChange: ({ inputValue, reason }) => (reason === 'input-change' ? setTyped(inputValue) : rest()),
    onOpenChange: ({ open }) => open || rest(),
    onValueChange: ({ value: [next] }) => {
      rest()
      if (next !== undefined && next !== id) onChoose(next)
    },
  })
  const typing = useTyping(title)
  const api = combobox.connect(service, normalizeProps)
  const { onfocusin, ...field } = api.getInputProps() as InputProps
  const places = [...new Set(runs.map(({ place }) => place))]
  return (
    <div {...api.getRootProps()} class="run-search">
      <div {...api.getControlProps()} class="run-field">
        <input
          {...field}
          {...typing.field}
          aria-label={label}
          placeholder={words.none}
          onFocus={(event: FocusEvent & { currentTarget: HTMLInputElement }) => {
            onfocusin?.(event)
            event.currentTarget.select()
          }}
        />
        <button {...(api.getTriggerProps() as Record<string, unknown>)} aria-label={words.show(label)}>
          <span aria-hidden="true">▾</span>
        </button>
      </div>
      <div {...api.getPositionerProps()} class="search-place">
        {api.open && (
          <div {...api.getContentProps()} class="search-list">
            {runs.length === 0 && <p class="search-note">{failed ? words.failed : words.noMatch}</p>}
            {places.map((place) => (
              <div key={place} {...api.getItemGroupProps({ id: place })}>
                <p class="search-note" {...api.getItemGroupLabelProps({ htmlFor: place })}>
                  {words[place]}
                </p>
                {runs
                  .filter((run) => run.place === place)
                  .map((run) => (
                    <div key={run.id} class="search-item" {...api.getItemProps({ item: run })}>
                      {run.title}
                    </div>
                  ))}
                {place === 'library' && more > 0 && <p class="search-note">{words.more(more)}</p>}
              </div>
            ))}
          </div>
        )}
      </div>
    </div>
  )
}

/** What the chosen run is called; its id's end while that is not known. */
function useTitle(id: string | null, version: string): string {
  const [found, setFound] = useState<{ readonly id: string; readonly title: string } | null>(null)
  useEffect(() => {
    if (id === null) return
    const left = new AbortController()
    titleOfRun(id, left.signal).then(
      (title) => left.signal.aborted || setFound({ id, title }),
      () => undefined,
    )
    return () => {
      left.abort()
    }
  }, [id, version])
  if (id === null) return ''
  return found?.id === id ? found.title : id.slice(id.indexOf(':') + 1)
}

/** Runs that fit, asked anew when typing rests. */
function useChoices(typed: string, version: string): RunChoices & { readonly failed: boolean } {
  const [choices, setChoices] = useState(NONE)
  const [failed, setFailed] = useState(false)
  useEffect(() => {
    const left = new AbortController()
    const timer = setTimeout(
      () => {
        listChoices(typed, left.signal).then(
          (found) => {
            if (left.signal.aborted) return
            setChoices(found)
            setFailed(false)
          },
          () => left.signal.aborted || setFailed(true),
        )
      },
      typed === '' ? 0 : TYPING,
    )
    return () => {
      left.abort()
      clearTimeout(timer)
    }
  }, [typed, version])
  return { ...choices, failed }
}
