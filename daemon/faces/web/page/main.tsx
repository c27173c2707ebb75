import './look.css';
import './frame.css';
import './today.css';
import './sheets.css';
import './changes.css';
import './cards.css';
import './charts.css';
import './paper.css';
import './setup.css';
import { render } from 'preact';
import { App } from './app.tsx';
import { drawInLanguage, keepShell } from './this-device.ts';

const root = document.getElementById('page');
if (root !== null) {
  root.replaceChildren();
  // By its language: in another one all of it is read and drawn anew.
  drawInLanguage((language) => render(<App key={language} />, root));
  keepShell();
}
