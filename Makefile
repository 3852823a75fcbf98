# `make run` to try it, `make test` before every change that is to stay. Both install what is
# missing; everything they make lies in target/ and in node_modules folders.

run: phone
	@app/tools/desk
	@app/tools/demo

test:
	@app/tools/check

lint:
	@app/tools/check lint

fmt:
	@app/tools/install rust
	cargo fmt --all

# What the page weighs and how fast it is, beside the least that can be had; into target/bench.
bench:
	@app/tools/bench

# Ten thousand made-up seasons of officers, phones and the desk (app/desk/tests/season).
seasons:
	COMBGATE_SEASONS=10000 cargo test --profile season -p combgate-desk --test season -- --nocapture

# The pictures of README.md, and the browser's bundle that other libraries are shown.
pictures: phone
	@app/tools/desk
	@app/tools/install page browser reference
	COMBGATE_KEEP=1 node --test tests/browser/pictures.test.mjs tests/browser/gate.test.mjs

# The phone's page, in target/phone.
phone:
	@app/tools/phone

# The desk's program for use, target/release/combgate.
desk:
	@app/tools/desk --release

clean:
	rm -rf target app/tools/node_modules tests/*/node_modules tests/bench/peers/node_modules

.PHONY: run test lint fmt bench seasons pictures phone desk clean
