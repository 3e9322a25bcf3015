/** What is said where the server does not answer, or now has other pages than these. */
import { loadAnew, useContact } from '../recording/contact.js'
import { text } from '../words/text.js'

/** A line at the foot of the page; nothing while all is well. `quiet` where the page itself says that nothing comes. */
export function ContactNote({ quiet }: { readonly quiet: boolean }) {
  const contact = useContact()
  const words = text.contact
  return (
    <div role="status">
      {contact === 'lost' && !quiet && <p class="taken">{words.lost}</p>}
      {contact === 'older' && (
        <div class="taken refused">
          <span>{words.older}</span>
          <button
            type="button"
            onClick={() => {
              loadAnew().catch(reportError)
            }}
          >
            {words.load}
          </button>
        </div>
      )}
    </div>
  )
}
