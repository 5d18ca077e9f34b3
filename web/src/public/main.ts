import '../app.css';
import { mount } from 'svelte';
import PublicPage from './PublicPage.svelte';

const page = document.getElementById('page');
if (page) mount(PublicPage, { target: page });
