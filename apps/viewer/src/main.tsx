/** Puts the viewer on the page. */
import { render } from 'preact'
import { App } from './app.js'
import { showTheme } from './state/settings.js'

showTheme()
const host = document.getElementById('app')
if (host !== null) render(<App />, host)
