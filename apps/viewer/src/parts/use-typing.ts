/** Keeps every letter that is typed into a field whose machine writes back what it knew before. */
import type { RefObject } from 'preact'
import { useEffect, useRef } from 'preact/hooks'

/** What the field takes, and how to end typing. */
export interface Typing {
  readonly field: { readonly ref: RefObject<HTMLInputElement | null>; onInputCapture(event: Event): void }
  /** What was typed is no longer wanted; the field shows what it rests on. */
  end(): void
}

/**
 * The machine of a search writes its value into the field after each drawing. On a busy page that is the
 * value of some letters ago, and those typed meanwhile would be lost. Use it after the machine, so that it
 * has the last word.
 *
 * @param rest what the field shows while nobody types
 */
export function useTyping(rest: string): Typing {
  const ref = useRef<HTMLInputElement>(null)
  const typed = useRef<string | null>(null)
  useEffect(() => {
    const [element, wanted] = [ref.current, typed.current ?? rest]
    if (element !== null && element.value !== wanted) element.value = wanted
  })
  return {
    field: {
      ref,
      onInputCapture: () => {
        typed.current = ref.current?.value ?? null
      },
    },
    end: () => {
      typed.current = null
    },
  }
}
