import "../shared/theme.css";
import "./studio.css";
import { render } from "preact";

render(<main><h1>Fretloom</h1></main>, document.getElementById("page")!);
