package cli

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/http"
	"os"
	"os/signal"
	"path/filepath"
	"strings"
	"syscall"
	"time"

	"github.com/spf13/cobra"

	"keyon/app/desk"
	"keyon/model/fault"
	"keyon/store/project"
	"keyon/ui/web"
)

func serveCommand(e *env) *cobra.Command {
	var addr, shop, who, dev string
	c := &cobra.Command{
		Use:   "serve [CAR.keyon]",
		Short: "shows a car in the browser: findings, tables, plugs, papers",
		Long:  "Serves the page at --addr, on this computer only, until it is interrupted. Without a car the page asks for one in the present folder. Phones on the shop's own network join by a code that the page shows under More, Phones; until then nothing is reached from outside.",
		Args:  cobra.MaximumNArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			o := web.Options{Folder: ".", Who: who, ShopAddr: shop, Pages: dev}
			if o.Who == "" {
				o.Who = by().Who
			}
			if len(args) == 1 {
				path := args[0]
				if !strings.EqualFold(filepath.Ext(path), project.Extension) {
					return fault.New(fault.Usage, "keyon new CAR.keyon --from "+path+" makes a project of a workbook", fmt.Errorf("serve %s: only project files can be worked on", path))
				}
				k, err := desk.Open(path, time.Now)
				if err != nil {
					return err
				}
				o.Desk, o.Folder = k, filepath.Dir(path)
			}
			s, err := web.New(o)
			if err != nil {
				return err
			}
			defer s.Close()
			return e.serve(addr, s)
		},
	}
	f := c.Flags()
	f.StringVar(&addr, "addr", "127.0.0.1:8765", "loopback address and port of the page")
	f.StringVar(&shop, "shop", "", "address and port at which phones join (every address of the computer, a free port)")
	f.StringVar(&who, "name", "", "name that stands beside your edits ($USER)")
	f.StringVar(&dev, "dev", "", "folder to read the pages from at each request, for who works on them")
	_ = f.MarkHidden("dev")
	return c
}

// serve serves until it is interrupted.
func (e *env) serve(addr string, s *web.Server) error {
	host, _, err := net.SplitHostPort(addr)
	if err != nil {
		return fault.New(fault.Usage, "write an address such as 127.0.0.1:8765", fmt.Errorf("--addr %s: %w", addr, err))
	}
	if ip := net.ParseIP(host); host != "localhost" && (ip == nil || !ip.IsLoopback()) {
		return fault.New(fault.Usage, "phones join by a code at --shop ADDRESS", fmt.Errorf("--addr %s is no loopback address", addr))
	}
	l, err := net.Listen("tcp", addr)
	if err != nil {
		return fault.New(fault.Conflict, "name another port with --addr", fmt.Errorf("listen on %s: %w", addr, err))
	}
	server := web.Listen(s.Desk())
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	go func() {
		<-ctx.Done()
		server.Close() // edits are on the disk when they are answered: nothing waits
	}()
	fmt.Fprintf(e.out, "http://%s\n", l.Addr())
	if err := server.Serve(l); !errors.Is(err, http.ErrServerClosed) {
		return err
	}
	return nil
}
