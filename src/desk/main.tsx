import { StrictMode } from 'react';
import { createRoot } from 'react-dom/client';
import { Desk } from './desk';
import './design/tokens.css';
import './design/base.css';
import './design/print.css';
import { showTheme } from './design/theme';
import { keepDesk } from './keep-desk';

showTheme();
const place = document.getElementById('desk');
if (place === null) throw new Error('the page has no element to draw the desk in');
createRoot(place).render(
  <StrictMode>
    <Desk />
  </StrictMode>,
);
void keepDesk();
