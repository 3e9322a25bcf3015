/** Files that are being taken, and those that could not be. */
import type { FileFailure } from '../recording/take-file.js'
import { text } from '../words/text.js'

interface TakenProps {
  /** Names of the files that are being taken; empty where none are. */
  readonly taking: readonly string[]
  readonly failures: readonly FileFailure[]
  readonly onClose: () => void
}

/** A line under the head of the page; nothing where there is nothing to say. */
export function TakenFiles({ taking, failures, onClose }: TakenProps) {
  return (
    <>
      <div role="status">
        {taking.length > 0 && (
          <p class="taken">
            <progress aria-label={text.files.label} /> {text.files.taking(taking)}
          </p>
        )}
      </div>
      {failures.length > 0 && (
        <div class="taken refused" role="alert">
          <ul>
            {failures.map((failure) => (
              <li key={failure.name}>
                <strong>{failure.name}</strong>: {failureWords(failure.code)}
              </li>
            ))}
          </ul>
          <button type="button" onClick={onClose}>
            {text.files.close}
          </button>
        </div>
      )}
    </>
  )
}

/** Why a recording cannot be had, in words. */
export function failureWords(code: string): string {
  return text.failure.byCode[code] ?? text.failure.byCode['other'] ?? ''
}
