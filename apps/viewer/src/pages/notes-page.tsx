/** What a person writes to a run: title, vehicle, repairs, notes, and the checks that no bus shows. */
import { MANUAL_CHECKS, MANUAL_STAGES, type ManualStage } from '@firstcrank/analysis'
import { PinList } from '../parts/pinned-notes.js'
import { type OpenCard, useCard } from '../recording/use-card.js'
import type { OpenRun } from '../recording/use-run.js'
import { formatRoute, PLAIN_SHEET, runRoute } from '../state/route.js'
import { useSentence } from '../state/sentence.js'
import { text } from '../words/text.js'

/** The page. */
export function NotesPage({ run }: { readonly run: OpenRun }) {
  const card = useCard(run.id)
  const words = text.card
  return (
    <main id="main" class="sheet notes">
      <h1 class="bus-title">{words.title}</h1>
      <p class="faint">
        {words.lead} {run.id.startsWith('run:') ? words.keptServer : words.keptHere}
      </p>
      {card !== null && (
        <>
          <div class="notes-columns">
            <Fields card={card} />
            <Checks card={card} />
          </div>
          <h2>{words.pins}</h2>
          {card.card.pins.length === 0 && <p class="note">{words.pinsNone}</p>}
          <PinList card={card} pins={card.card.pins} zero={run.info?.from ?? 0} hrefAt={(at) => sheetAt(run.id, at)} />
        </>
      )}
    </main>
  )
}

/** The address of the test sheet with the cursor at a time. */
function sheetAt(run: string, at: number): string {
  return formatRoute({ ...runRoute(run), sheet: { ...PLAIN_SHEET, at } })
}

const FIELDS = [
  { field: 'title', rows: 1, most: 200 },
  { field: 'vehicle', rows: 1, most: 100 },
  { field: 'fixed', rows: 3, most: 5_000 },
  { field: 'notes', rows: 9, most: 20_000 },
] as const

function Fields({ card }: { readonly card: OpenCard }) {
  return (
    <div class="card-fields">
      {FIELDS.map(({ field, rows, most }) => (
        <label key={field} class="field">
          {text.card.fields[field]}
          <textarea
            rows={rows}
            maxLength={most}
            value={card.card[field]}
            // Kept when the field is left, not at every letter.
            onChange={(event) => card.change({ [field]: event.currentTarget.value })}
          />
        </label>
      ))}
      <p class="keeping" role="status">
        {card.keeping !== null && text.card.keeping[card.keeping]}
      </p>
    </div>
  )
}

function Checks({ card }: { readonly card: OpenCard }) {
  const { checks } = card.card
  const words = text.card
  const say = useSentence()
  return (
    <section aria-labelledby="by-hand">
      <h2 id="by-hand">{words.checks}</h2>
      <p class="faint">
        {words.checksLead}{' '}
        {words.ticked(MANUAL_CHECKS.filter(({ id }) => checks.includes(id)).length, MANUAL_CHECKS.length)}.
      </p>
      {(Object.keys(MANUAL_STAGES) as ManualStage[]).map((stage) => (
        <details key={stage} open={stage === 'before'}>
          <summary>
            <h3>{MANUAL_STAGES[stage]}</h3>
          </summary>
          <ul class="steps">
            {MANUAL_CHECKS.filter((check) => check.stage === stage).map(({ id, text: what }) => (
              <li key={id}>
                <label class="step" for={`check-${id}`}>
                  <input
                    type="checkbox"
                    id={`check-${id}`}
                    checked={checks.includes(id)}
                    onChange={(event) => card.tick(id, event.currentTarget.checked)}
                  />
                  <span>{say(what)}</span>
                </label>
              </li>
            ))}
          </ul>
        </details>
      ))}
    </section>
  )
}
