/** Statements with the place in the recording where each can be seen. */
import type { Evidence } from '@firstcrank/analysis'
import { useSentence } from '../state/sentence.js'
import { formatTime } from '../state/time.js'
import { text } from '../words/text.js'

interface EvidenceListProps {
  readonly evidence: readonly Evidence[]
  /** Microseconds of the axis' zero. */
  readonly zero: number
  readonly onSee: (evidence: Evidence) => void
}

/** The list; each statement opens its place in the plots. */
export function EvidenceList({ evidence, zero, onSee }: EvidenceListProps) {
  const say = useSentence()
  return (
    <ul class="evidence">
      {evidence.map((item) => {
        const at = formatTime(Math.max(0, (item.from - zero) / 1e6), 1)
        return (
          <li key={`${item.text}${item.from}`}>
            <span>{say(item.text)}</span>{' '}
            <button
              type="button"
              class="see"
              aria-label={text.sheet.evidenceAt(at, say(item.text))}
              onClick={() => onSee(item)}
            >
              {`${text.sheet.evidence} ${at}`}
            </button>
          </li>
        )
      })}
    </ul>
  )
}
