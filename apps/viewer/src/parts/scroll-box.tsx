/** A block that scrolls sideways by itself where it is too wide, by keys too. */
import type { ComponentChildren } from 'preact'

/** The block; its name is told to those who cannot see it. */
export function ScrollBox({ label, children }: { readonly label: string; readonly children: ComponentChildren }) {
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls must be reachable by keys (WCAG 2.1.1)
    <section class="scroll" tabIndex={0} aria-label={label}>
      {children}
    </section>
  )
}
