import { mount } from "svelte";
import "../look/styles.css";
import { register } from "../offline/register";
import App from "./App.svelte";

const target = document.getElementById("page");
if (target === null) throw new Error("the page has no place to mount in");
mount(App, { target });
register("guardian");
