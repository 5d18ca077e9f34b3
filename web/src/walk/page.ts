import '../app.css';
import { mount } from 'svelte';
import type { Walk } from './walk';
import WalkPage from './WalkPage.svelte';

const page = document.getElementById('page');
const data = document.getElementById('walk')?.textContent;
if (page && data) mount(WalkPage, { target: page, props: { walk: JSON.parse(data) as Walk } });
