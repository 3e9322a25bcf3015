/**
 * How it stands with the server these pages came from. A server that was stopped is waited for, and what was
 * asked meanwhile is asked again; where it comes back with other pages, that is said.
 */
import { useEffect, useState } from 'preact/hooks'

/** `older`: the server now has other pages, and a part of these can no longer be loaded. */
export type Contact = 'there' | 'lost' | 'older'

/** Milliseconds between looks whether the server answers again. */
const LOOK_AGAIN = 1_000
/** Milliseconds a break lasts before it is told: one that is over at the first look is nobody's concern. */
const TOLD_AFTER = 1_500

const listeners = new Set<(contact: Contact) => void>()
/** What has been cut: the feed, a question that waits. */
const cuts = new Set<unknown>()
let contact: Contact = 'there'
let telling: ReturnType<typeof setTimeout> | undefined
let waiting: Promise<void> | undefined
/** How many wait for the server. */
let waiters = 0

/** The contact, told anew whenever it changes. */
export function useContact(): Contact {
  const [shown, setShown] = useState(contact)
  useEffect(() => watchContact(setShown), [])
  return shown
}

/** Tells the contact now and whenever it changes. Returns how to be told no more. */
export function watchContact(listener: (contact: Contact) => void): () => void {
  listeners.add(listener)
  listener(contact)
  return () => {
    listeners.delete(listener)
  }
}

/** Notes that something has been cut off from the server, or is no longer. */
export function noteCut(what: unknown, cut: boolean): void {
  if (cut) cuts.add(what)
  else cuts.delete(what)
  if (contact === 'older') return
  if (cuts.size > 0) {
    // From the first of them: one more cut or less does not make the break a new one.
    telling ??= setTimeout(() => tell('lost'), TOLD_AFTER)
    return
  }
  clearTimeout(telling)
  telling = undefined
  tell('there')
}

/** Notes that these pages are not those of the server. */
export function noteOlder(): void {
  clearTimeout(telling)
  tell('older')
}

/**
 * Reads from the server. Where it cannot be reached, the answer comes once it can.
 *
 * @param left ends the waiting: nobody wants the answer any more
 * @throws what `fetch` throws of a question that fails although the server answers others; why it was left
 */
export async function fetchPatiently(address: string, left?: AbortSignal): Promise<Response> {
  // One cut over all its tries, so that what is told stays until there is an answer.
  const question = {}
  let answered = false
  try {
    for (;;) {
      try {
        const response = await fetch(address, left === undefined ? {} : { signal: left })
        if (!(await isAway(response))) return response
        answered = false
      } catch (error) {
        // Twice: the server may have come back between the two questions.
        if (answered || left?.aborted) throw error
        answered = await answers()
      }
      left?.throwIfAborted()
      if (answered) continue
      noteCut(question, true)
      await serverBack(left)
    }
  } finally {
    noteCut(question, false)
  }
}

/**
 * Loads a part of these pages. Where the server cannot be reached it is loaded once it can; where the server
 * no longer has the part, that is said.
 *
 * @param left ends the waiting: nobody wants the part any more
 * @throws what `load` throws, of a part that the server no longer has; why it was left
 */
export async function loadPart<Part>(load: () => Promise<Part>, left?: AbortSignal): Promise<Part> {
  let answered = false
  for (;;) {
    try {
      return await load()
    } catch (error) {
      if (left?.aborted) throw error
      // Twice: the server may have come back between the two questions.
      if (answered) {
        noteOlder()
        throw error
      }
      answered = await answers()
      left?.throwIfAborted()
      if (!answered) await serverBack(left)
    }
  }
}

/** Loads these pages anew, past what the browser keeps of them. */
export async function loadAnew(): Promise<void> {
  try {
    const kept = (await navigator.serviceWorker?.getRegistrations()) ?? []
    await Promise.all(kept.map((registration) => registration.unregister()))
  } catch {
    // A browser that keeps none loads them anew anyway.
  }
  location.reload()
}

/** Whether a server says that it is stopping, or another answers in its place while it is gone. */
async function isAway(response: Response): Promise<boolean> {
  if (response.status !== 503) return response.status === 502 || response.status === 504
  const said: { readonly code?: unknown } | null = await response
    .clone()
    .json()
    .catch(() => null)
  return said?.code === 'stopping'
}

/** Resolves when the server answers again; however many wait, it is asked once at a time. */
async function serverBack(left?: AbortSignal): Promise<void> {
  left?.throwIfAborted()
  waiting ??= lookUntilBack().finally(() => {
    waiting = undefined
  })
  waiters++
  try {
    await (left === undefined ? waiting : unlessLeft(waiting, left))
  } finally {
    waiters--
  }
}

function unlessLeft(waited: Promise<void>, left: AbortSignal): Promise<void> {
  return new Promise((resolve, reject) => {
    const stop = (): void => reject(left.reason)
    left.addEventListener('abort', stop)
    waited.then(resolve, reject).finally(() => left.removeEventListener('abort', stop))
  })
}

/** Looks again and again, as long as somebody waits. */
async function lookUntilBack(): Promise<void> {
  noteCut(lookUntilBack, true)
  do await new Promise((resolve) => setTimeout(resolve, LOOK_AGAIN))
  while (waiters > 0 && !(await answers()))
  noteCut(lookUntilBack, false)
}

/** Whether the server hands out its page. Only the head of it is asked for: what the browser keeps does not answer. */
async function answers(): Promise<boolean> {
  const response = await fetch('./', { method: 'HEAD', cache: 'no-store' }).catch(() => null)
  return response?.ok ?? false
}

function tell(next: Contact): void {
  if (next === contact) return
  contact = next
  for (const listener of listeners) listener(next)
}
