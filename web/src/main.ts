import './app.css';
import { mount } from 'svelte';
import App from './App.svelte';

const page = document.getElementById('page');
if (page) mount(App, { target: page });
