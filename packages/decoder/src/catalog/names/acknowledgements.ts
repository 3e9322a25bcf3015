/** What the control byte of an acknowledgement (PGN 59392) says. Source: from memory. */

/** The answer to a request or a command. */
export type Acknowledgement = 'positive' | 'negative' | 'access-denied' | 'cannot-respond'

/** Kind and meaning by control byte: 0 to 3. */
export const ACKNOWLEDGEMENTS: readonly { readonly kind: Acknowledgement; readonly meaning: string }[] = [
  { kind: 'positive', meaning: 'Positive: done, or will be done' },
  { kind: 'negative', meaning: 'Negative: not supported, or not done' },
  { kind: 'access-denied', meaning: 'Access denied: supported, but only with permission' },
  { kind: 'cannot-respond', meaning: 'Cannot respond: busy, ask again later' },
]

/** The kind of acknowledgement that a control byte says; undefined for the reserved ones. */
export function acknowledgementOf(control: number): Acknowledgement | undefined {
  return ACKNOWLEDGEMENTS[control]?.kind
}
